//! Factors against the matrix that they stand for.

use super::*;
use proptest::prelude::*;

/// Columns of a matrix that is dominated by one entry a row and column.
fn columns() -> impl Strategy<Value = Vec<Vec<Entry>>> {
    (1..12usize).prop_flat_map(|size| {
        let others = prop::collection::vec(prop::collection::vec(-3..=3i32, size), size);
        let order = Just((0..size).collect::<Vec<_>>()).prop_shuffle();
        (others, order).prop_map(move |(others, order)| {
            let column = |(position, values): (usize, &Vec<i32>)| {
                let value = |row: usize| {
                    let own = if order[position] == row { 50 } else { 0 };
                    f64::from(values[row].max(0) + own)
                };
                (0..size).map(|row| (index(row), value(row))).filter(|e| e.1 != 0.0).collect()
            };
            others.iter().enumerate().map(column).collect()
        })
    })
}

fn views(columns: &[Vec<Entry>]) -> Vec<&[Entry]> {
    columns.iter().map(Vec::as_slice).collect()
}

fn product(columns: &[Vec<Entry>], x: &[f64]) -> Vec<f64> {
    let mut sum = vec![0.0; columns.len()];
    for (column, x) in columns.iter().zip(x) {
        column.iter().for_each(|&(row, a)| sum[row as usize] += a * x);
    }
    sum
}

fn dense(column: &[Entry], size: usize) -> Vec<f64> {
    let mut dense = vec![0.0; size];
    column.iter().for_each(|&(row, a)| dense[row as usize] = a);
    dense
}

fn close(a: &[f64], b: &[f64]) -> bool {
    a.iter().zip(b).all(|(a, b)| (a - b).abs() < 1e-9)
}

proptest! {
    #[test]
    fn solves_both_ways_also_after_a_replacement(
        mut columns in columns(),
        place in 0..12usize,
        values in prop::collection::vec(1..9i32, 12),
    ) {
        let size = columns.len();
        let place = place % size;
        let mut factors = Factors::new(&views(&columns)).expect("independent columns");
        let mut taken: Vec<Entry> = (0..size).map(|r| (index(r), f64::from(values[r]))).collect();
        let own = columns[place].iter().max_by(|a, b| a.1.total_cmp(&b.1)).expect("an entry").0;
        taken[own as usize].1 += 60.0;
        let direction = factors.direction(dense(&taken, size));
        factors.replace(place, &direction);
        columns[place] = taken;
        let right: Vec<f64> = values[..size].iter().map(|&v| f64::from(v)).collect();
        prop_assert!(close(&product(&columns, &factors.solve(right.clone())), &right));
        let y = factors.solve_transposed(&right);
        let back: Vec<f64> =
            columns.iter().map(|c| c.iter().map(|&(r, a)| a * y[r as usize]).sum()).collect();
        prop_assert!(close(&back, &right));
    }
}

#[test]
fn names_what_depends_on_the_rest() {
    let columns = vec![vec![(0, 1.0), (1, 2.0)], vec![(0, 2.0), (1, 4.0)], vec![(2, 1.0)]];
    let dependent = Factors::new(&views(&columns)).expect_err("two columns are one");
    assert_eq!(dependent.rows.len(), 1);
    assert_eq!(dependent.positions.len(), 1);
    assert!(dependent.rows[0] < 2 && dependent.positions[0] < 2);
}
