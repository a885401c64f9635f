//! Small shops that are written as a framer would write them.

use std::collections::BTreeMap;
use std::fmt::Write;

use longpoint::morning::{WORK, plan};
use longpoint::plan::Plan;
use longpoint::shop::{Shop, read_files};
use longpoint::solve::Limits;
use longpoint::verify::verify;

/// Wednesday, 25 November 2026.
pub fn today() -> jiff::civil::Date {
    jiff::civil::date(2026, 11, 25)
}

/// The files of a shop that measures in millimetres, cuts without loss and keeps
/// next to nothing: every figure in a test can be worked out on paper.
#[derive(Clone)]
pub struct Folder {
    pub settings: String,
    pub mouldings: String,
    pub frames: String,
    pub rack: String,
    pub suppliers: String,
    pub offers: String,
}

impl Folder {
    pub fn new() -> Folder {
        Folder {
            settings: settings("mm", "1", "0", "900"),
            mouldings: "monthly,moulding,width,rabbet,stick,price,per,match,keep_on_rack\n"
                .to_owned(),
            frames: "frame,layer,moulding,width,height,copies,due,match\n".to_owned(),
            rack: "stick,moulding,length,lot\n".to_owned(),
            suppliers: "supplier,minimum,freight,lead_days,long_over,long_charge,halves,order_by,\
                        discount,small_below,small_charge\n"
                .to_owned(),
            offers: "supplier,moulding,form,lengths,price,per,box,steps,least,fee,least_count\n"
                .to_owned(),
        }
    }

    /// A moulding 20 mm wide with a rabbet of 10 mm: a rail is 20 mm longer than
    /// its side of the package.
    pub fn moulding(mut self, id: &str, more: &str) -> Folder {
        // So much is used of everything that it may be bought beyond need.
        let _ = writeln!(self.mouldings, "1000,{id},20,10,{more}");
        self
    }

    pub fn frame(mut self, row: &str) -> Folder {
        self.frames += &format!("{row}\n");
        self
    }

    pub fn stick(mut self, row: &str) -> Folder {
        self.rack += &format!("{row}\n");
        self
    }

    pub fn supplier(mut self, row: &str) -> Folder {
        self.suppliers += &format!("{row}\n");
        self
    }

    pub fn offer(mut self, row: &str) -> Folder {
        self.offers += &format!("{row}\n");
        self
    }

    pub fn buying(mut self, lines: &str) -> Folder {
        self.settings += &format!("\n[buying]\n{lines}\n");
        self
    }

    pub fn shop(&self) -> Shop {
        // As many as pay may be bought beyond need, unless the test says otherwise.
        let freedom = "[buying]\nbeyond_most = 1000\n";
        let settings = match self.settings.as_str() {
            said if said.contains("beyond_most") => said.to_owned(),
            said if said.contains("[buying]\n") => said.replace("[buying]\n", freedom),
            said => format!("{said}\n{freedom}"),
        };
        let files = [
            ("shop.toml", &settings),
            ("mouldings.csv", &self.mouldings),
            ("frames.csv", &self.frames),
            ("rack.csv", &self.rack),
            ("suppliers.csv", &self.suppliers),
            ("offers.csv", &self.offers),
        ];
        let files: BTreeMap<String, Vec<u8>> = files
            .into_iter()
            .map(|(name, text)| (name.to_owned(), text.clone().into_bytes()))
            .collect();
        read_files(&files).unwrap_or_else(|faults| panic!("{faults}"))
    }
}

/// Settings with this unit, bench mark, allowance and shortest kept offcut.
pub fn settings(unit: &str, mark: &str, allowance: &str, keep: &str) -> String {
    format!(
        "name = \"Test\"\nunit = \"{unit}\"\nmark = \"{mark}\"\nallowance = \"{allowance}\"\n\
         currency = \"EUR\"\ndefault_cutter = \"c\"\n[offcuts]\nkeep = \"{keep}\"\nworth = \"0\"\n\
         [cutter.c]\nkerf = \"0\"\nnick = \"0\"\nfirst_trim = \"0\"\nlast_trim = \"0\"\n\
         grip = \"0\"\nshortest = \"1\"\nstop = \"long\"\n\
         [days]\nbench_days = 0\n"
    )
}

/// Plans and has the plan re-checked.
pub fn planned(shop: &Shop) -> Plan {
    let limits = Limits { work: WORK, deadline: None, stop: None, watch: None };
    let plan = plan(shop, today(), limits).unwrap().into_inner();
    if let Err(faults) = verify(shop, &plan) {
        let words: Vec<String> = faults.iter().map(ToString::to_string).collect();
        panic!("{}", words.join("\n"));
    }
    plan
}

/// What the order is to be paid, in minor units.
pub fn to_pay(plan: &Plan) -> i64 {
    plan.order.bills.iter().map(|bill| bill.total().0).sum()
}

/// The lines as `supplier form moulding count`, in order.
pub fn lines(plan: &Plan) -> Vec<String> {
    let line = |line: &longpoint::plan::OrderLine| {
        format!("{} {} {} {}", line.supplier, line.form, line.moulding, line.count)
    };
    let mut lines: Vec<String> = plan.order.lines.iter().map(line).collect();
    lines.sort();
    lines
}
