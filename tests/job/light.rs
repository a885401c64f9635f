//! What a customer is told of light.

use longpoint::ticket::tell;

use crate::folder::sheet;

/// L1: a maker of lamps prints that 50 lx for 10 h are as much as 250 lx for 2 h: 500 lx h both.
#[test]
fn doses_that_are_said_to_be_alike_are() {
    let job = "1,paper,8,10,,,,,,,,,,WHITE,,,,GLASS,,FOAM,,,\n";
    let (shop, framed) = sheet("1,,PINE,,,,,,\n", job);
    let told = tell(&framed, &shop).join(" ");
    let said = told.split(". ").find(|sentence| sentence.contains(" lux ")).unwrap();
    let figures: Vec<u32> = said
        .split(|c: char| !c.is_ascii_digit())
        .filter_map(|figure| figure.parse().ok())
        .collect();
    assert_eq!(figures, [250, 2, 50, 10], "{said}");
    assert_eq!((figures[0] * figures[1], figures[2] * figures[3]), (500, 500));
}
