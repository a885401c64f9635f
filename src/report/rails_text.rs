//! The rails of every frame as a table to cut by: `longpoint rails`.

use comfy_table::{
    CellAlignment, ColumnConstraint, ContentArrangement, Table, TableComponent, Width, presets,
};

use crate::rails::{LayerRails, Rail, rails_to_cut};
use crate::shop::{Frame, Shop};

use super::escape::clean;
use super::text::Page;
use super::{name, words};

const COLUMNS: u16 = 80;
const HEAD: [&str; 9] =
    ["frame", "moulding", "layer", "pieces", "sides", "mitre", "long point", "rabbet", "sight"];
/// The columns of [`HEAD`] that hold figures.
const FIGURES: [usize; 6] = [2, 3, 5, 6, 7, 8];
/// From this column on, a cell is never broken: only names may be.
const FIXED: usize = 2;
/// No name's column is narrower than its heading.
const NAME: u16 = 9;

/// One line for each set of equal rails of a frame's layer that are to be cut, all
/// copies counted,
/// at most eighty columns wide.
pub fn rails(shop: &Shop) -> String {
    let mut table = Table::new();
    table
        .load_preset(presets::NOTHING)
        .set_content_arrangement(ContentArrangement::Dynamic)
        .set_width(COLUMNS)
        .set_header(HEAD)
        .set_style(TableComponent::HeaderLines, '-')
        .set_style(TableComponent::MiddleHeaderIntersections, '-');
    for (index, column) in table.column_iter_mut().enumerate() {
        column.set_padding((0, 0));
        if FIGURES.contains(&index) {
            column.set_cell_alignment(CellAlignment::Right);
        }
        column.set_constraint(if index < FIXED {
            ColumnConstraint::LowerBoundary(Width::Fixed(NAME))
        } else {
            ColumnConstraint::ContentWidth
        });
    }
    for frame in &shop.frames {
        for (layer, copies) in to_cut(shop, frame) {
            for row in rows(shop, frame, &layer, copies) {
                table.add_row(row);
            }
        }
    }
    let mut page = Page::new();
    let unit = words::unit(shop.settings.unit);
    page.line("", &format!("{}: every rail, lengths in {unit}", shop.settings.name));
    for line in table.lines() {
        page.line("", &line);
    }
    page.into_text()
}

/// What is to be cut of each layer, and of how many copies just that.
fn to_cut(shop: &Shop, frame: &Frame) -> Vec<(LayerRails, usize)> {
    let mut all: Vec<(LayerRails, usize)> = Vec::new();
    for rails in frame.pending().flat_map(|copy| rails_to_cut(shop, frame, copy)) {
        match all.iter_mut().find(|(other, _)| *other == rails) {
            Some((_, copies)) => *copies += 1,
            None => all.push((rails, 1)),
        }
    }
    all.sort_by_key(|(rails, _)| rails.layer);
    all
}

/// A layer's rails with equal ones together.
fn rows(shop: &Shop, frame: &Frame, layer: &LayerRails, copies: usize) -> Vec<[String; 9]> {
    let mut groups: Vec<(Rail, Vec<String>)> = Vec::new();
    for rail in &layer.rails {
        match groups.iter_mut().find(|(first, _)| first.long_point == rail.long_point) {
            Some((_, sides)) => sides.push(rail.side.to_string()),
            None => groups.push((*rail, vec![rail.side.to_string()])),
        }
    }
    let row = |(rail, sides): &(Rail, Vec<String>)| row(shop, (frame, layer, copies), rail, sides);
    groups.iter().map(row).collect()
}

fn row(
    shop: &Shop,
    (frame, layer, copies): (&Frame, &LayerRails, usize),
    rail: &Rail,
    sides: &[String],
) -> [String; 9] {
    let style = shop.settings.style();
    let is_stack = frame.layers.len() > 1;
    [
        clean(&frame.id),
        clean(&frame.layers[layer.layer - 1].moulding),
        if is_stack { layer.layer.to_string() } else { String::new() },
        (sides.len().saturating_mul(copies)).to_string(),
        if sides.len() == usize::from(frame.mitre.sides()) {
            "all".to_owned()
        } else {
            sides.join(", ")
        },
        name::mitre(layer.mitre).unwrap_or_else(|| "45°".to_owned()),
        style.show(rail.long_point),
        style.show(rail.rabbet),
        style.show(rail.sight),
    ]
}
