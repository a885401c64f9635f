//! A made-up shop written as the folder that a user would keep.

use std::fs;
use std::path::Path;

use longpoint::measure::{Length, Money, Worth};
use longpoint::shop::{Carton, Form, Lengths, Match, Per, Shop};

/// Writes all six files; every length in millimetres to the nanometre.
///
/// # Errors
/// If the disk refuses.
pub fn write(shop: &Shop, dir: &Path) -> std::io::Result<()> {
    fs::create_dir_all(dir)?;
    fs::write(dir.join("shop.toml"), settings(shop))?;
    let tables = [
        ("mouldings.csv", mouldings(shop)),
        ("frames.csv", frames(shop)),
        ("rack.csv", rack(shop)),
        ("suppliers.csv", suppliers(shop)),
        ("offers.csv", offers(shop)),
    ];
    for (name, lines) in tables {
        fs::write(dir.join(name), lines.join("\n") + "\n")?;
    }
    Ok(())
}

/// The same with the offers of each supplier in a price list of columns of its own.
///
/// # Errors
/// As [`write`].
pub fn write_lists(shop: &Shop, dir: &Path) -> std::io::Result<()> {
    let bare = Shop { offers: Vec::new(), ..shop.clone() };
    write(&bare, dir)?;
    let mut toml = settings(shop);
    for supplier in shop.suppliers.keys() {
        let file = format!("{}.csv", supplier.to_lowercase());
        toml += &format!(
            "\n[import.\"{supplier}\"]\nfile = \"{file}\"\ncode = \"Item\"\nform = \"Sold\"\n\
             lengths = \"Long\"\nprice = \"Trade\"\nper = \"= ft\"\nbox = \"Carton\"\n"
        );
        let mut lines =
            vec!["Trade prices,,,,".to_owned(), "Item,Sold,Long,Trade,Carton".to_owned()];
        for offer in shop.offers.iter().filter(|offer| offer.supplier == *supplier) {
            let (form, carton) = match offer.form {
                Form::Box { holds: Carton::Sticks(sticks) } => ("box", sticks.to_string()),
                _ => ("length", String::new()),
            };
            let length = mm(offer.lengths.ends().0);
            lines.push(format!(
                "{},{form},{length},${},{carton}",
                offer.moulding,
                price(offer.price)
            ));
        }
        fs::write(dir.join(file), lines.join("\n") + "\n")?;
    }
    fs::write(dir.join("shop.toml"), toml)
}

fn mm(length: Length) -> String {
    format!("{}.{:06} mm", length.nm() / 1_000_000, length.nm() % 1_000_000)
}

fn money(money: Money) -> String {
    format!("{}.{:02}", money.0 / 100, money.0 % 100)
}

fn price(worth: Worth) -> String {
    format!("{}.{:05}", worth.0 / 100_000, worth.0 % 100_000)
}

fn settings(shop: &Shop) -> String {
    let settings = &shop.settings;
    let mut text = format!(
        "name = \"{}\"\nunit = \"in\"\nmark = \"{}\"\nallowance = \"{}\"\ncurrency = \"{}\"\n\
         default_cutter = \"{}\"\n\n[offcuts]\nkeep = \"{}\"\nworth = \"0.{:06}\"\n",
        settings.name,
        mm(settings.mark),
        mm(settings.allowance),
        settings.currency.code(),
        settings.default_cutter,
        mm(settings.keep),
        settings.worth,
    );
    for (name, cutter) in &shop.cutters {
        text += &format!(
            "\n[cutter.\"{name}\"]\nkerf = \"{}\"\npasses = {}\nnick = \"{}\"\nfirst_trim = \"{}\"\n\
             last_trim = \"{}\"\ngrip = \"{}\"\nshortest = \"{}\"\nstop = \"{}\"\n",
            mm(cutter.kerf),
            cutter.passes,
            mm(cutter.nick),
            mm(cutter.first_trim),
            mm(cutter.last_trim),
            mm(cutter.grip),
            mm(cutter.shortest),
            cutter.stop.word(),
        );
    }
    text
}

fn mouldings(shop: &Shop) -> Vec<String> {
    let line = |moulding: &longpoint::shop::Moulding| {
        let paid = moulding.price.expect("every moulding of the dice has a price");
        format!(
            "{},{},{},{},{},{},{},ft,{},{},{}",
            moulding.id,
            moulding.name,
            mm(moulding.width),
            mm(moulding.rabbet),
            moulding.depth.map(mm).unwrap_or_default(),
            mm(moulding.stick),
            price(paid.amount),
            moulding.match_.word(),
            moulding.cutter,
            moulding.kind.word(),
        )
    };
    let head = "moulding,name,width,rabbet,depth,stick,price,per,match,cutter,kind".to_owned();
    [head].into_iter().chain(shop.mouldings.values().map(line)).collect()
}

fn frames(shop: &Shop) -> Vec<String> {
    let mut lines =
        vec!["frame,layer,moulding,width,height,copies,due,match,match_floor".to_owned()];
    for frame in &shop.frames {
        for (number, layer) in (1..).zip(&frame.layers) {
            let size = match number {
                1 => format!(
                    "{},{},{},{}",
                    mm(frame.width),
                    mm(frame.height),
                    frame.copies,
                    frame.due.map(|due| due.to_string()).unwrap_or_default()
                ),
                _ => ",,,".to_owned(),
            };
            let floor =
                if layer.match_floor == layer.match_ { Match::Any } else { layer.match_floor };
            lines.push(format!(
                "{},{number},{},{size},{},{}",
                frame.id,
                layer.moulding,
                layer.match_.word(),
                floor.word(),
            ));
        }
    }
    lines
}

fn rack(shop: &Shop) -> Vec<String> {
    let mut lines = vec!["stick,moulding,length,lot,place,flaws,since".to_owned()];
    for stick in &shop.rack {
        let flaws: Vec<String> = stick
            .flaws
            .iter()
            .map(|flaw| format!("{} .. {}", mm(flaw.from), mm(flaw.to)))
            .collect();
        lines.push(format!(
            "{},{},{},{},{},{},{}",
            stick.id,
            stick.moulding,
            mm(stick.length),
            stick.lot,
            stick.place,
            flaws.join("; "),
            stick.since.map(|since| since.to_string()).unwrap_or_default(),
        ));
    }
    lines
}

fn suppliers(shop: &Shop) -> Vec<String> {
    let mut lines = vec!["supplier,name,minimum,freight,lead_days".to_owned()];
    for supplier in shop.suppliers.values() {
        let freight: Vec<String> = supplier
            .freight
            .iter()
            .map(|step| match step.from {
                Money(0) => money(step.charge),
                from => format!("{} from {}", money(step.charge), money(from)),
            })
            .collect();
        lines.push(format!(
            "{},{},{},{},{}",
            supplier.id,
            supplier.name,
            money(supplier.minimum),
            freight.join("; "),
            supplier.lead_days,
        ));
    }
    lines
}

fn offers(shop: &Shop) -> Vec<String> {
    let mut lines = vec!["supplier,moulding,form,lengths,price,per".to_owned()];
    for offer in &shop.offers {
        let (Form::Length, Lengths::These(lengths), Per::Foot) =
            (offer.form, &offer.lengths, offer.per)
        else {
            unreachable!("the dice offer whole sticks by the foot");
        };
        let lengths: Vec<String> = lengths.iter().map(|length| mm(*length)).collect();
        lines.push(format!(
            "{},{},length,{},{},ft",
            offer.supplier,
            offer.moulding,
            lengths.join("; "),
            price(offer.price),
        ));
    }
    lines
}
