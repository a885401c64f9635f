//! Cutting-stock problems with published or well-known answers, each with its
//! source: what the solver and the program are both held against.

/// A problem and what is known of it.
pub struct Known {
    /// The number it goes by here, and what it is.
    pub name: &'static str,
    /// Where problem and answer come from.
    #[allow(dead_code, reason = "for those who read the table")]
    pub source: &'static str,
    /// Length, cost and supply of each stock.
    pub stock: &'static [(i64, i64, Option<u32>)],
    /// Length and demand of each piece, longest last or first as in the source.
    pub pieces: &'static [(i64, u32)],
    /// The bound of the linear program in thousandths of a unit of cost, where
    /// one is stated.
    #[allow(dead_code, reason = "not all tests look at it")]
    pub linear: Option<i64>,
    /// The least cost.
    pub cost: i64,
    /// How many sticks the plan of least cost takes.
    pub sticks: u64,
    /// How many longest-first takes, where that is stated.
    #[allow(dead_code, reason = "not all tests look at it")]
    pub longest_first: Option<usize>,
}

const COMPUTED: &str = "a published question and answer; the optimum computed";

pub const KNOWN: [Known; 13] = [
    Known {
        name: "K1: rolls of 5600",
        source: "encyclopedia article \"Cutting stock problem\" (Wikipedia): 73 rolls, waste .401 %",
        stock: &[(5600, 1, None)],
        pieces: &[
            (1380, 22),
            (1520, 25),
            (1560, 12),
            (1710, 14),
            (1820, 18),
            (1880, 18),
            (1930, 20),
            (2000, 10),
            (2050, 12),
            (2100, 14),
            (2140, 16),
            (2150, 18),
            (2200, 20),
        ],
        linear: Some(72_917),
        cost: 73,
        sticks: 73,
        longest_first: Some(82),
    },
    Known {
        name: "K2: rolls of 100",
        source: "Chvatal, Linear Programming (1983), chapter 13; also neos-guide.org, \
                 \"Cutting stock problem\"",
        stock: &[(100, 1, None)],
        pieces: &[(45, 97), (36, 610), (31, 395), (14, 211)],
        linear: Some(452_250),
        cost: 453,
        sticks: 453,
        longest_first: Some(485),
    },
    Known {
        name: "K3: rolls of 110",
        source: "Fourer, Gay and Kernighan, the AMPL book's cutting example, cut.dat",
        stock: &[(110, 1, None)],
        pieces: &[(20, 48), (45, 35), (50, 24), (55, 10), (75, 8)],
        linear: Some(46_250),
        cost: 47,
        sticks: 47,
        longest_first: Some(47),
    },
    Known {
        name: "K4: boards of 17",
        source: "Winston, Operations Research (from memory), and university lecture notes",
        stock: &[(17, 1, None)],
        pieces: &[(3, 25), (5, 20), (9, 15)],
        linear: Some(18_333),
        cost: 19,
        sticks: 19,
        longest_first: Some(19),
    },
    Known {
        name: "K5: bars of 19",
        source: "an operations research textbook exercise (from memory): 25 bars are fewest; \
                 where more may be cut than is wanted, the least scrap takes 27",
        stock: &[(19, 1, None)],
        pieces: &[(4, 50), (6, 20), (8, 15)],
        linear: Some(25_000),
        cost: 25,
        sticks: 25,
        longest_first: Some(27),
    },
    Known {
        name: "K6: two lengths without waste",
        source: "J. Kantor, CBE 40455 course notebook 05.07: two of 15 and three of 10",
        stock: &[(15, 15, Some(3)), (10, 10, Some(3))],
        pieces: &[(7, 3), (6, 2), (4, 6), (3, 1)],
        linear: None,
        cost: 60,
        sticks: 5,
        longest_first: None,
    },
    Known {
        name: "K7: sticks of 12",
        source: COMPUTED,
        stock: &[(12, 1, None)],
        pieces: &[(3, 60), (4, 49), (7, 12)],
        linear: Some(39_333),
        cost: 40,
        sticks: 40,
        longest_first: None,
    },
    Known {
        name: "K8: boards of 2000",
        source: COMPUTED,
        stock: &[(2000, 1, None)],
        pieces: &[(255, 10), (750, 7), (550, 13)],
        linear: Some(8_143),
        cost: 9,
        sticks: 9,
        longest_first: Some(9),
    },
    Known {
        // Lengths of 240 are given to the hundredth.
        name: "K9: decimals in a finer unit",
        source: COMPUTED,
        stock: &[(24_000, 1, None)],
        pieces: &[(7216, 241), (7164, 241), (6894, 241), (4546, 241), (4413, 241)],
        linear: Some(321_333),
        cost: 322,
        sticks: 322,
        longest_first: None,
    },
    Known {
        name: "K10: bars of 25",
        source: "a textbook exercise; computed",
        stock: &[(25, 1, None)],
        pieces: &[(7, 700), (9, 1200), (10, 300)],
        linear: Some(775_000),
        cost: 775,
        sticks: 775,
        longest_first: None,
    },
    Known {
        // The trap: the bound by length, 1.962, rounds up to 2, and 2 fail.
        name: "K12: rounding up is not enough",
        source: "the classic instance without the round-up property (from memory, verified)",
        stock: &[(132, 1, None)],
        pieces: &[(44, 2), (33, 3), (12, 6)],
        linear: Some(1_962),
        cost: 3,
        sticks: 3,
        longest_first: Some(3),
    },
    Known {
        // The trap: a longer stick makes longest-first worse, but not the best.
        name: "K13: sticks of 60",
        source: "the anomaly of first-fit decreasing (from memory, verified)",
        stock: &[(60, 1, None)],
        pieces: ANOMALY,
        linear: None,
        cost: 3,
        sticks: 3,
        longest_first: Some(3),
    },
    Known {
        name: "K13: sticks of 61",
        source: "the anomaly of first-fit decreasing (from memory, verified)",
        stock: &[(61, 1, None)],
        pieces: ANOMALY,
        linear: None,
        cost: 3,
        sticks: 3,
        longest_first: Some(4),
    },
];

const ANOMALY: &[(i64, u32)] = &[(44, 1), (24, 2), (22, 1), (21, 1), (17, 1), (8, 2), (6, 2)];
