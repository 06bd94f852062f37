//! What the page at /docs and README.md show first: four requests with their answers, and the questions that there are.

/// A request that is shown first, with what is worth reading of its answer.
#[derive(Debug, Clone, Copy)]
pub struct FirstRequest {
    /// Its name on the page.
    pub id: &'static str,
    /// Its heading.
    pub title: &'static str,
    /// The question in words.
    pub asks: &'static str,
    /// Where it is sent to.
    pub path: &'static str,
    /// The request.
    pub body: &'static str,
    /// Lines of the answer as text, each as the service writes it.
    pub answer: &'static [&'static str],
}

/// The four requests, the simplest first.
pub const FIRST: &[FirstRequest] = &[
    FirstRequest {
        id: "one-bed",
        title: "One garden bed",
        asks: "How much castings does a garden bed of 2.4 m by 1.2 m take, 2 cm deep?",
        path: "/v1/applications",
        body: include_str!("../../../demo-data/applications/one-bed.json"),
        answer: &["57.6 L of castings in all, or about 34.6 kg (25.9 to 51.8)."],
    },
    FirstRequest {
        id: "stock-against-demand",
        title: "Stock against demand",
        asks: "There are 90 L now and 60 L from May. Is that enough for carrots in April and tomatoes in May?",
        path: "/v1/balances",
        body: include_str!("../../../demo-data/balances/late-lot.json"),
        answer: &[
            "Not enough. 10 L of the 140 L needed are missing, first on 5 Apr 2027 (carrots).",
            "- By 5 Apr 2027: let carrots wait for 10 L until 10 May 2027.",
        ],
    },
    FirstRequest {
        id: "season",
        title: "A season of one worm bed",
        asks: "A bed of 2 m2 gets shredded leaves and 2 kg of worms in October. Does it give 100 L by 5 April?",
        path: "/v1/seasons",
        body: include_str!("../../../demo-data/seasons/one-bed.json"),
        answer: &[
            "Not enough. 21.2 L of the 100 L needed are missing at the likely values, first on 5 Apr 2027 (carrots).",
            "The chance that every demand is met in time is 15 %, if the ranges shown are right.",
        ],
    },
    FirstRequest {
        id: "mix",
        title: "A mix for the worms",
        asks: "How many leaves go with 10 kg of grass, for a mix with 70 % water?",
        path: "/v1/feeds",
        body: include_str!("../../../demo-data/feeds/grass-and-leaves.json"),
        answer: &["Add 3.75 kg or about 50 L (24.4 to 78.1) of leaves (loose)."],
    },
];

/// Every question, and how it is asked.
pub const QUESTIONS: &[(&str, &str)] = &[
    (
        "How much does each row, bed, pot and plant take, and what nutrients does that carry? Or how deep a layer does your stock make?",
        "POST /v1/applications",
    ),
    ("What does this worm bed or heap yield, and when will a future bed be ready?", "POST /v1/harvests"),
    ("How much for this compost tea, in which batches, and when do they start?", "POST /v1/brews"),
    ("Who gets how much from which lot, what is short and when, what closes the shortfall?", "POST /v1/balances"),
    (
        "Will there be enough over a season, how certain is that, and what must be done on which day?",
        "POST /v1/seasons",
    ),
    ("What to shred, soak and mix, in which layers, on which days?", "POST /v1/feeds"),
    (
        "How large a bed, how many worms and how much feed a week, for this feed or these castings?",
        "POST /v1/worm-beds",
    ),
    (
        "What do my own records of beds say about the assumptions, and how much more certain do they make a season?",
        "POST /v1/calibrations",
    ),
    ("One of these numbers for a spreadsheet cell", "GET /v1/applications/volume"),
    ("A table of your own with the answer beside each row", "POST /v1/applications/table"),
    ("Many questions in one stream", "POST /v1/batch"),
    (
        "Which materials, typical rates, units, defaults, cautions, formulas, sources and limits are there?",
        "GET /v1/materials",
    ),
];
