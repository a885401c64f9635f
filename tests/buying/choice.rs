//! The choice over all mouldings against every combination of ways.

use longpoint::buy::{
    Begun, BuyingProblem, Chosen, Goods, Pool, Pricing, Terms, Way, Ways, choose,
};
use proptest::prelude::*;

fn terms() -> impl Strategy<Value = Terms> {
    let steps = prop::collection::vec((1_i64..200, 0_i64..40), 0..3);
    (0_i64..120, 0_i64..40, steps, prop_oneof![Just(0_i64), 1_i64..30]).prop_map(
        |(minimum, first, mut steps, long)| {
            steps.sort_unstable();
            steps.dedup_by_key(|(from, _)| *from);
            let freight = std::iter::once((0, first)).chain(steps).collect();
            Terms { minimum, freight, long }
        },
    )
}

fn way(suppliers: usize) -> impl Strategy<Value = Way> {
    let goods = prop::collection::vec((0..suppliers, 1_i64..90, any::<bool>()), 0..3);
    (-9000_i64..60_000, goods, 0_i64..40).prop_map(|(own, goods, spare)| {
        let mut goods: Vec<Goods> = goods
            .into_iter()
            .map(|(supplier, cost, long)| Goods { supplier, cost, long })
            .collect();
        goods.sort_by_key(|goods| goods.supplier);
        goods.dedup_by_key(|goods| goods.supplier);
        Way { own, goods, spare, spare_least: spare, ..Way::default() }
    })
}

/// Ways of which each takes so many steps to be shown; of what there are no steps for the
/// least price is told.
struct Slow<'a> {
    ways: &'a Vec<Way>,
    each: u64,
}

impl Ways for Slow<'_> {
    fn sellers(&self) -> Vec<(usize, bool)> {
        self.ways.sellers()
    }

    fn show(
        &self,
        at: &Pricing,
        mut below: i128,
        steps: &mut u64,
        met: &mut dyn FnMut(Way) -> i128,
    ) -> Option<i128> {
        let mut left: Option<i128> = None;
        for way in self.ways {
            let Some(price) = at.of(way).filter(|price| *price < below) else { continue };
            if *steps < self.each {
                *steps = 0;
                left = left.into_iter().chain([price]).min();
                continue;
            }
            *steps -= self.each;
            below = met(way.clone());
        }
        left
    }
}

/// A question with its ways listed.
#[derive(Debug, Clone)]
struct Listed {
    suppliers: Vec<Terms>,
    lots: Vec<Vec<Way>>,
    budget: Option<i64>,
}

impl Listed {
    fn choose(&self) -> Option<Chosen> {
        let question = BuyingProblem {
            suppliers: self.suppliers.clone(),
            mouldings: self.lots.iter().map(|lot| lot as &dyn Ways).collect(),
            budget: self.budget,
        };
        let answer = choose(
            &question,
            &mut Pool::new(self.lots.len()),
            &mut Begun::default(),
            &mut 100_000_000,
        );
        (!answer.is_none()).then_some(answer)
    }
}

fn question() -> impl Strategy<Value = Listed> {
    (1_usize..4)
        .prop_flat_map(|suppliers| {
            (
                prop::collection::vec(terms(), suppliers),
                prop::collection::vec(prop::collection::vec(way(suppliers), 1..5), 1..6),
                prop::option::of(20_i64..100),
            )
        })
        .prop_map(|(suppliers, lots, budget)| Listed { suppliers, lots, budget })
}

/// What a choice costs, in thousandths, reckoned as a framer would: bill by bill.
fn cost(question: &Listed, ways: &[&Way]) -> Option<i64> {
    if question.budget.is_some_and(|most| ways.iter().map(|way| way.spare).sum::<i64>() > most) {
        return None;
    }
    let mut cost: i64 = ways.iter().map(|way| way.own).sum();
    for (supplier, terms) in question.suppliers.iter().enumerate() {
        let lines: Vec<&Goods> =
            ways.iter().flat_map(|way| &way.goods).filter(|g| g.supplier == supplier).collect();
        let goods: i64 = lines.iter().map(|line| line.cost).sum();
        if goods == 0 {
            continue;
        }
        let mut bill = goods.max(terms.minimum);
        let carriage = terms.freight.iter().rfind(|(from, _)| goods >= *from);
        bill += carriage.map_or(0, |(_, charge)| *charge);
        if lines.iter().any(|line| line.long) {
            bill += terms.long;
        }
        cost += bill * 1000;
    }
    Some(cost)
}

/// The least cost of all combinations.
fn least(question: &Listed) -> Option<i64> {
    let mut combinations: Vec<Vec<usize>> = vec![Vec::new()];
    for lot in &question.lots {
        let more = |chosen: &Vec<usize>| -> Vec<Vec<usize>> {
            (0..lot.len()).map(|way| [chosen.clone(), vec![way]].concat()).collect()
        };
        combinations = combinations.iter().flat_map(more).collect();
    }
    let ways = |chosen: &Vec<usize>| -> Vec<&Way> {
        chosen.iter().zip(&question.lots).map(|(way, lot)| &lot[*way]).collect()
    };
    combinations.iter().filter_map(|chosen| cost(question, &ways(chosen))).min()
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(400))]

    #[test]
    fn the_choice_is_the_cheapest_of_all_combinations(question in question()) {
        match (question.choose(), least(&question)) {
            (Some(answer), Some(least)) => {
                let chosen: Vec<&Way> = answer.chosen.iter().collect();
                prop_assert_eq!(cost(&question, &chosen), Some(answer.cost));
                prop_assert_eq!(answer.cost, least);
                prop_assert_eq!(answer.bound, least);
            }
            (None, None) => {}
            // A tight budget may hide every choice that was looked at.
            (None, Some(_)) => prop_assert!(question.budget.is_some()),
            (Some(_), None) => prop_assert!(false, "a choice beyond the budget"),
        }
    }

    /// However early the steps are used up, and however often it is gone on with, nothing
    /// that is said to be the least is more than the cheapest of all combinations.
    #[test]
    fn the_bound_holds_wherever_it_is_cut_off(
        mut question in question(),
        each in 1_u64..200,
        steps in prop::collection::vec(1_u64..4_000, 1..5),
    ) {
        question.budget = None;
        let slow: Vec<Slow> = question.lots.iter().map(|ways| Slow { ways, each }).collect();
        let asked = BuyingProblem {
            suppliers: question.suppliers.clone(),
            mouldings: slow.iter().map(|slow| slow as &dyn Ways).collect(),
            budget: None,
        };
        let least = least(&question).unwrap();
        let (mut pool, mut begun) = (Pool::new(slow.len()), Begun::default());
        for mut steps in steps {
            let answer = choose(&asked, &mut pool, &mut begun, &mut steps);
            prop_assert!(answer.bound <= least, "{} is more than {least}", answer.bound);
            prop_assert!(answer.cost >= least);
        }
    }

    /// What a way might cost less lowers the bound and never the cost.
    #[test]
    fn doubt_lowers_the_bound(mut question in question(), doubt in 0_i64..5000) {
        question.budget = None;
        let sure = question.choose().unwrap();
        question.lots.iter_mut().flatten().for_each(|way| way.doubt = doubt);
        let unsure = question.choose().unwrap();
        let lots = i64::try_from(question.lots.len()).unwrap();
        prop_assert_eq!(unsure.cost, sure.cost);
        prop_assert!(unsure.bound <= sure.cost - lots * doubt);
    }
}

/// By construction: thirty mouldings that two suppliers sell, each for 10.00 from
/// one and 10.40 from the other. Carriage is 6.00 for each parcel, free from
/// 160.00. Bought where each is cheapest there are two parcels of 150.00 and two
/// carriages; one moulding more from either makes one parcel free and costs 0.40.
#[test]
fn one_moulding_moves_to_make_a_parcel_free() {
    let terms = Terms { minimum: 0, freight: vec![(0, 600), (16_000, 0)], long: 0 };
    let way = |supplier, cost| Way {
        goods: vec![Goods { supplier, cost, long: false }],
        ..Way::default()
    };
    let lot = |number: usize| {
        let (near, far) = (number % 2, 1 - number % 2);
        vec![way(near, 1000), way(far, 1040)]
    };
    let question = Listed {
        suppliers: vec![terms.clone(), terms],
        lots: (0..30).map(lot).collect(),
        budget: None,
    };
    let answer = question.choose().unwrap();
    // All from one: 150 + 156 and no carriage is 306.00; split with one moved:
    // 300.40 and one carriage of 6.00 is 306.40.
    assert_eq!(answer.cost, 30_600 * 1000);
    assert!(answer.bound * 1000 >= answer.cost * 995);
}
