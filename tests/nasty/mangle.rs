//! Spoils the files of a shop folder, as typing, spreadsheets and disks do.

use crate::numbers::Numbers;
use crate::shops::Folder;

/// Cells that a reader may stumble over.
const CELLS: &[&str] = &[
    "",
    " ",
    "0",
    "-1",
    "--1",
    "- - -1",
    "\u{2212}3 1/2",
    "1/0",
    "0/0",
    "0/1",
    "1 1/2/3",
    "1e9",
    "1e309",
    "NaN",
    "inf",
    "0.001",
    "0.0000001",
    "0.000001",
    "50 m",
    "50000.000001 mm",
    "100 m",
    "999999999999999999999999999999",
    "9223372036854775807",
    "4294967296",
    "65536",
    "10000",
    "99999.99",
    "1000000",
    "0.01",
    "0.00001",
    "12,5",
    "12.5.5",
    "5' 3 1/2",
    "5' -3",
    "'",
    "''''",
    "\u{ff11}\u{ff16}",
    "\u{bd}",
    "1\u{2044}2",
    "\u{200b}",
    "\u{202e}16",
    "e\u{301}",
    "a\u{0}b",
    "\u{1b}[2J",
    "..",
    "1 .. 2 .. 3",
    "2 .. 1",
    "1 .. ",
    ";",
    "1 .. 2;;3 .. 4",
    "from",
    "9 from",
    "9 from 1; 8 from 1",
    "1 from 2; 2 from 1000001",
    "2026-02-30",
    "0000-00-00",
    "1899-12-31",
    "2200-12-31",
    "9999-12-31",
    "+026-01-01",
    "yes",
    "ANY",
    "Wrap",
    "#12",
    "=1+1",
    "100 ft",
    "100\"",
    "0 ft",
    "\"",
    "\"\"",
    "{}{}",
    "%s%n",
    "../../etc",
];

/// A folder with one to four things wrong with it, or odd about it.
pub fn mangled(numbers: &mut Numbers, mut folder: Folder) -> Folder {
    for _ in 0..numbers.within(1, 4) {
        let names: Vec<String> = folder.keys().cloned().collect();
        let Some(name) = one(numbers, &names).cloned() else { break };
        let file = folder.remove(&name).unwrap_or_default();
        match numbers.within(0, 30) {
            0 => {}
            1 => {
                folder.insert(name, Vec::new());
            }
            2 => {
                folder.insert(format!("{name}x"), file);
            }
            3 => {
                let other = one(numbers, &names).unwrap().clone();
                folder.insert(other, file);
            }
            _ => {
                let file = match name.ends_with(".toml") && !numbers.one_in(5) {
                    true => toml(numbers, &file),
                    false if numbers.one_in(4) => bytes(numbers, file),
                    false => cells(numbers, &file),
                };
                folder.insert(name, file);
            }
        }
    }
    folder
}

fn one<'a, T>(numbers: &mut Numbers, of: &'a [T]) -> Option<&'a T> {
    let last = i64::try_from(of.len().checked_sub(1)?).unwrap();
    of.get(usize::try_from(numbers.within(0, last)).unwrap())
}

/// A cell to put in: one of the list, or a very long one.
fn cell(numbers: &mut Numbers) -> String {
    match numbers.within(0, 12) {
        0 => numbers
            .one_of(&["9", "-", "a", "\u{e9}", "1 .. 2;", "- ", "0", "/", " "])
            .repeat(50_000),
        1 => {
            numbers.one_of(&["1", "0", "9"]).repeat(usize::try_from(numbers.within(1, 60)).unwrap())
        }
        _ => (*one(numbers, CELLS).unwrap()).to_owned(),
    }
}

/// Bytes that are changed, left out, doubled, cut off or not UTF-8.
fn bytes(numbers: &mut Numbers, mut file: Vec<u8>) -> Vec<u8> {
    let at = usize::try_from(numbers.within(0, file.len() as i64)).unwrap();
    match numbers.within(0, 7) {
        0 => file.truncate(at),
        1 => drop(file.drain(..at)),
        2 => file.insert(at, numbers.one_of(&[0, b'"', b',', b'\n', b'\r', 0xff, 0xc0, b'#'])),
        3 => {
            let copy = file[at..].to_vec();
            file.extend(copy);
        }
        4 => {
            let odd: &[u8] = numbers.one_of(&[
                b"\xff\xfe".as_slice(),
                b"\xfe\xff",
                b"\xef\xbb\xbf",
                b"\xed\xa0\x80",
                b"\xf4\x90\x80\x80",
            ]);
            file.splice(0..0, odd.iter().copied());
        }
        5 => file.iter_mut().for_each(|byte| *byte = if *byte == b',' { b';' } else { *byte }),
        6 => file.iter_mut().for_each(|byte| *byte = if *byte == b'\n' { b'\r' } else { *byte }),
        _ => {
            if let Some(byte) = file.get_mut(at) {
                *byte = u8::try_from(numbers.within(0, 255)).unwrap();
            }
        }
    }
    file
}

/// Cells changed, swapped, moved; rows doubled, swapped, left out.
fn cells(numbers: &mut Numbers, file: &[u8]) -> Vec<u8> {
    let text = String::from_utf8_lossy(file);
    let mut rows: Vec<Vec<String>> =
        text.lines().map(|row| row.split(',').map(str::to_owned).collect()).collect();
    if rows.is_empty() {
        return cell(numbers).into_bytes();
    }
    let any = |numbers: &mut Numbers, count: usize| {
        usize::try_from(numbers.within(0, count as i64 - 1)).unwrap()
    };
    let (row, other) = (any(numbers, rows.len()), any(numbers, rows.len()));
    let (place, second) = (any(numbers, rows[row].len()), any(numbers, rows[row].len()));
    match numbers.within(0, 9) {
        0 => rows.swap(row, other),
        1 => rows[row].swap(place, second),
        2 => rows[0].swap(0, any(numbers, 1)),
        3 => drop(rows.remove(row)),
        4 => {
            let copy = rows[row].clone();
            rows.insert(other, copy);
        }
        5 => rows[row].insert(place, cell(numbers)),
        6 => drop(rows[row].remove(place)),
        // A whole column with the same cell.
        7 => {
            let cell = cell(numbers);
            for row in &mut rows[1..] {
                if let Some(old) = row.get_mut(place) {
                    old.clone_from(&cell);
                }
            }
        }
        _ => rows[row][place] = cell(numbers),
    }
    let rows: Vec<String> = rows.iter().map(|row| row.join(",")).collect();
    (rows.join("\n") + "\n").into_bytes()
}

/// Lines of settings changed, doubled, left out; keys that nest without end.
fn toml(numbers: &mut Numbers, file: &[u8]) -> Vec<u8> {
    let text = String::from_utf8_lossy(file);
    let mut lines: Vec<String> = text.lines().map(str::to_owned).collect();
    if lines.is_empty() {
        return cell(numbers).into_bytes();
    }
    let at = usize::try_from(numbers.within(0, lines.len() as i64 - 1)).unwrap();
    let key = lines[at].split('=').next().unwrap_or_default().to_owned();
    match numbers.within(0, 9) {
        0 => drop(lines.remove(at)),
        1 => lines.insert(at, lines[at].clone()),
        2 => lines[at] = format!("{key}= {}", "[".repeat(20_000)),
        3 => lines.insert(at, format!("{}a = 1", "a.".repeat(20_000))),
        4 => lines.insert(at, format!("[cutter.\"{}\"]", cell(numbers).replace('"', ""))),
        5 => {
            let bare = numbers.one_of(&["0.5", "1e400", "0x10", "true", "[]", "{}", "1979-05-27"]);
            lines[at] = format!("{key}= {bare}");
        }
        6 => lines[at] = format!("{key}= {}", "{a=".repeat(5_000)),
        7 => lines[at] = cell(numbers),
        _ => lines[at] = format!("{key}= \"{}\"", cell(numbers).replace(['"', '\\'], "")),
    }
    (lines.join("\n") + "\n").into_bytes()
}
