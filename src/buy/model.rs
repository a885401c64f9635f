//! The choice as an integer program for a general solver.
//!
//! Exactly one way for each lot; each supplier in exactly one state, whose least
//! and greatest price of goods are side rows; what is made up to a minimum is a
//! row of its own. Everything is enumerated, so that there is no tier with a big
//! constant in it, which general solvers do badly with. The solver reckons in
//! floating point: only which ways it takes is read, and that is added up again
//! in integers.

use good_lp::{
    Expression, ProblemVariables, Solution, SolverModel, Variable, constraint, microlp, variable,
};

use super::question::{FINE, Found, Question};
use super::states::{State, states};

/// The program is written in whole units of currency, so that figures are small.
const PER_UNIT: f64 = 100.0;

/// The best choice among the `open` ways; `None` if the program has none.
pub(super) fn solve(question: &Question, open: &[Vec<usize>]) -> Option<Found> {
    if open.iter().any(Vec::is_empty) {
        return None;
    }
    let model = Model::new(question, open);
    let rows = model.rows(question, open);
    let objective = model.objective(question, open);
    let Model { variables, taken, .. } = model;
    let program = variables.minimise(objective).using(microlp);
    let program = rows.into_iter().fold(program, |program, row| program.with(row));
    let solution = program.solve().ok()?;
    let pick = |(taken, open): (&Vec<Variable>, &Vec<usize>)| {
        let place = taken.iter().position(|taken| solution.value(*taken) > 0.5)?;
        Some(open[place])
    };
    let chosen: Option<Vec<usize>> = taken.iter().zip(open).map(pick).collect();
    let chosen = chosen?;
    let cost = question.cost(&chosen)?;
    Some(Found { chosen, cost })
}

struct Model {
    variables: ProblemVariables,
    /// Whether each open way of each lot is taken.
    taken: Vec<Vec<Variable>>,
    /// The states of each supplier, and whether it is in each.
    states: Vec<Vec<(State, Variable)>>,
    /// What is made up to each supplier's minimum.
    made_up: Vec<Variable>,
    /// The most that can be bought from each.
    most: Vec<i64>,
}

impl Model {
    fn new(question: &Question, open: &[Vec<usize>]) -> Model {
        let mut variables = ProblemVariables::new();
        let taken = open
            .iter()
            .map(|open| open.iter().map(|_| variables.add(variable().binary())).collect())
            .collect();
        let most = |supplier: usize| -> i64 {
            let of = |(lot, open): (&Vec<super::Way>, &Vec<usize>)| {
                open.iter().map(|way| lot[*way].at(supplier).0).max().unwrap_or(0)
            };
            question.lots.iter().zip(open).map(of).sum()
        };
        let most: Vec<i64> = (0..question.suppliers.len()).map(most).collect();
        let mut states_of = Vec::new();
        for (terms, most) in question.suppliers.iter().zip(&most) {
            let of = states(terms, *most, terms.long > 0).into_iter();
            states_of.push(of.map(|state| (state, variables.add(variable().binary()))).collect());
        }
        let made_up =
            question.suppliers.iter().map(|_| variables.add(variable().min(0.0))).collect();
        Model { variables, taken, states: states_of, made_up, most }
    }

    fn rows(&self, question: &Question, open: &[Vec<usize>]) -> Vec<good_lp::Constraint> {
        let mut rows = Vec::new();
        for taken in &self.taken {
            rows.push(constraint!(taken.iter().sum::<Expression>() == 1));
        }
        for (supplier, states) in self.states.iter().enumerate() {
            let mut goods = Expression::from(0.0);
            for ((lot, open), taken) in question.lots.iter().zip(open).zip(&self.taken) {
                let (mut any, mut long) = (Expression::from(0.0), Expression::from(0.0));
                for (way, taken) in open.iter().zip(taken) {
                    let (cost, is_long) = lot[*way].at(supplier);
                    goods += money(cost) * *taken;
                    if cost > 0 {
                        any += *taken;
                    }
                    if is_long {
                        long += *taken;
                    }
                }
                let used = states.iter().filter(|(state, _)| state.used).map(|(_, at)| *at);
                rows.push(constraint!(any <= used.sum::<Expression>()));
                let of_long = states.iter().filter(|(state, _)| state.long).map(|(_, at)| *at);
                rows.push(constraint!(long <= of_long.sum::<Expression>()));
            }
            rows.push(constraint!(states.iter().map(|(_, at)| *at).sum::<Expression>() == 1));
            let least: Expression = states.iter().map(|(state, at)| money(state.from) * *at).sum();
            let greatest = |state: &State| money(state.to.unwrap_or(self.most[supplier]));
            let greatest: Expression = states.iter().map(|(s, at)| greatest(s) * *at).sum();
            rows.push(constraint!(goods.clone() >= least));
            rows.push(constraint!(goods.clone() <= greatest));
            let minimum = money(question.suppliers[supplier].minimum);
            let used = states.iter().filter(|(state, _)| state.used).map(|(_, at)| *at);
            let due: Expression = used.map(|at| minimum * at).sum();
            rows.push(constraint!(goods + self.made_up[supplier] >= due));
        }
        if let Some(budget) = question.budget {
            let each = self.each(question, open);
            let spare = each.map(|(way, taken)| money(way.spare) * taken).sum::<Expression>();
            rows.push(constraint!(spare <= money(budget)));
        }
        rows
    }

    fn each<'a>(
        &'a self,
        question: &'a Question,
        open: &'a [Vec<usize>],
    ) -> impl Iterator<Item = (&'a super::Way, Variable)> + 'a {
        let lots = question.lots.iter().zip(open).zip(&self.taken);
        lots.flat_map(|((lot, open), taken)| {
            open.iter().map(|way| &lot[*way]).zip(taken.iter().copied())
        })
    }

    fn objective(&self, question: &Question, open: &[Vec<usize>]) -> Expression {
        let ways = self.each(question, open);
        let ways: Expression =
            ways.map(|(way, taken)| money(way.cost()) / FINE as f64 * taken).sum();
        let states = self.states.iter().flatten();
        let charges: Expression = states.map(|(state, at)| money(state.charge) * *at).sum();
        ways + charges + self.made_up.iter().sum::<Expression>()
    }
}

fn money(minor: i64) -> f64 {
    minor as f64 / PER_UNIT
}
