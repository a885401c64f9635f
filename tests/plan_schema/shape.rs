//! What `plan.json` is, as types: the schema is made of them, and what is written is held
//! against it. Doc comments are what the schema says of each thing.
#![allow(dead_code, reason = "only their shape is used")]

use schemars::JsonSchema;

/// A day, such as 2026-11-25.
#[derive(JsonSchema)]
#[schemars(transparent, extend("pattern" = r"^\d{4}-\d{2}-\d{2}$"))]
pub struct Day(String);

/// An amount of the shop's currency, or where a moulding has no price of millimetres: an
/// exact decimal.
#[derive(JsonSchema)]
#[schemars(transparent, extend("pattern" = r"^-?\d+(\.\d+)?$"))]
pub struct Amount(String);

/// Millimetres, exact.
#[derive(JsonSchema)]
#[schemars(transparent)]
pub struct Mm(f64);

/// Grams, exact.
#[derive(JsonSchema)]
#[schemars(transparent)]
pub struct Grams(f64);

/// The plan of a morning.
#[derive(JsonSchema)]
#[schemars(deny_unknown_fields)]
pub struct PlanFile {
    /// The shop's name.
    shop: String,
    wishes: PlanWishes,
    today: Today,
    order: OrderToPlace,
    waiting: Vec<FrameThatWaits>,
    held: Vec<FrameHeld>,
    proof: Vec<PackingProof>,
    matching: Vec<CostOfMatching>,
    offcuts: Vec<OffcutsOfMoulding>,
    warnings: Vec<PlanWarning>,
    schedule: Vec<MachineOfDay>,
    /// What frames that are put off are cut from, together with others that are to come.
    #[schemars(skip_serializing_if = "Vec::is_empty")]
    put_off: Vec<StickOfPlan>,
    /// Promises that this plan does not keep, where there are any.
    #[schemars(skip_serializing_if = "Vec::is_empty")]
    promises_broken: Vec<PromiseBroken>,
    /// The jobs of tickets that are cut today and begin with the artwork.
    #[schemars(skip_serializing_if = "Vec::is_empty")]
    jobs: Vec<TicketJob>,
}

/// What was wished of this plan alone.
#[derive(JsonSchema)]
#[schemars(deny_unknown_fields)]
struct PlanWishes {
    /// Tickets that come first.
    rush: Vec<String>,
    /// The only tickets that are planned; nothing where all are.
    only: Option<Vec<String>>,
    /// Whether nothing is ordered.
    rack_only: bool,
}

/// What is cut today.
#[derive(JsonSchema)]
#[schemars(deny_unknown_fields)]
struct Today {
    date: Day,
    /// How often a stop is set.
    settings: u64,
    /// The least that any order of the cuts needs, where it is known.
    least_settings: Option<u64>,
    sticks: Vec<StickOfPlan>,
    /// Spare rails that are taken, where there are any.
    #[schemars(skip_serializing_if = "Vec::is_empty")]
    spare_rails: Vec<SpareRailTaken>,
}

/// A spare rail in place of one to cut.
#[derive(JsonSchema)]
#[schemars(deny_unknown_fields)]
struct SpareRailTaken {
    frame: String,
    copy: u32,
    layer: u32,
    side: String,
    /// Its label.
    rail: String,
}

/// A stick and what is cut from it, from its marked end.
#[derive(JsonSchema)]
#[schemars(deny_unknown_fields)]
struct StickOfPlan {
    /// Its label.
    stick: String,
    /// Whether it is still to be bought.
    new: bool,
    moulding: String,
    length: Mm,
    lot: String,
    place: String,
    supplier: String,
    first_trim: Mm,
    flaws: Vec<FlawZone>,
    rails: Vec<RailOnStick>,
    /// What lies between rails.
    between: Vec<PieceLeft>,
    left: PieceLeft,
}

/// Where no rail may lie.
#[derive(JsonSchema)]
#[schemars(deny_unknown_fields)]
struct FlawZone {
    from: Mm,
    to: Mm,
}

/// A rail on its stick.
#[derive(JsonSchema)]
#[schemars(deny_unknown_fields)]
struct RailOnStick {
    frame: String,
    copy: u32,
    /// From the inside, from 1.
    layer: u32,
    side: String,
    from: Mm,
    to: Mm,
    long_point: Mm,
    rabbet: Mm,
    sight: Mm,
    /// Degrees.
    mitre: f64,
    /// Whether the stick is turned over for it.
    turned: bool,
}

/// What is left of a stick.
#[derive(JsonSchema)]
#[schemars(deny_unknown_fields)]
struct PieceLeft {
    from: Mm,
    length: Mm,
    /// Whether it goes back on the rack.
    keep: bool,
    /// Empty if it does not.
    label: String,
}

/// What is ordered, and what it is for.
#[derive(JsonSchema)]
#[schemars(deny_unknown_fields)]
struct OrderToPlace {
    lines: Vec<LineToOrder>,
    /// The sticks that are to be bought, with what is cut from them.
    sticks: Vec<StickOfPlan>,
    /// The sticks that are on order already, with what is cut from them, where there are any.
    #[schemars(skip_serializing_if = "Vec::is_empty")]
    on_order: Vec<StickOfPlan>,
    /// Deliveries that should have come, where there are any.
    #[schemars(skip_serializing_if = "Vec::is_empty")]
    overdue: Vec<DeliveryOverdue>,
    /// What the order comes to when all is counted, where suppliers are known.
    #[schemars(skip_serializing_if = "Option::is_none")]
    account: Option<OrderAccount>,
    advice: Vec<BuyingAdvice>,
    bills: Vec<SupplierBill>,
    certainty: Vec<LengthsThatCome>,
    chops: Vec<ChoppedLayer>,
    deadlines: Vec<DayToOrderBy>,
    frames: Vec<FrameAwaited>,
    not_bought: Vec<NotBoughtMore>,
    yields: Vec<MouldingYield>,
}

/// A line of the order.
#[derive(JsonSchema)]
#[schemars(deny_unknown_fields)]
struct LineToOrder {
    supplier: String,
    form: String,
    moulding: String,
    length: Mm,
    /// Of boards and glass; their width is the length.
    #[schemars(skip_serializing_if = "Option::is_none")]
    height: Option<Mm>,
    count: u32,
    cost: Option<Amount>,
    /// Its row in `offers.csv`, or in the file that `listed` names.
    offer: Option<u64>,
    /// Whether the sticks come cut in two.
    halved: bool,
    pieces: Option<u32>,
    cut: u32,
    /// How many of them fill up the rack.
    to_keep: u32,
    rails: Vec<Mm>,
    /// Where it stands in a price list.
    #[schemars(skip_serializing_if = "Option::is_none")]
    listed: Option<PriceListRow>,
}

/// A row of a price list.
#[derive(JsonSchema)]
#[schemars(deny_unknown_fields)]
struct PriceListRow {
    file: String,
    row: u64,
}

/// A delivery that is overdue.
#[derive(JsonSchema)]
#[schemars(deny_unknown_fields)]
struct DeliveryOverdue {
    expected: Day,
    supplier: String,
    sticks: u64,
    chops: u64,
    holds_up: Vec<FrameCopyHeldUp>,
}

/// A copy of a frame.
#[derive(JsonSchema)]
#[schemars(deny_unknown_fields)]
struct FrameCopyHeldUp {
    frame: String,
    copy: u32,
}

/// Whether nothing is better.
#[derive(JsonSchema)]
#[schemars(rename_all = "lowercase")]
enum ProofStatus {
    Proven,
    Feasible,
}

/// What the order comes to.
#[derive(JsonSchema)]
#[schemars(deny_unknown_fields)]
struct OrderAccount {
    /// No order comes to less; nothing if that is not known.
    bound: Option<Amount>,
    net: Amount,
    status: ProofStatus,
    unit: String,
}

/// More of it would pay.
#[derive(JsonSchema)]
#[schemars(deny_unknown_fields)]
struct BuyingAdvice {
    costs: Amount,
    form: String,
    length: Mm,
    more: u32,
    moulding: String,
    pays_at: Option<u32>,
    sticks: u32,
    supplier: String,
}

/// A supplier's bill.
#[derive(JsonSchema)]
#[schemars(deny_unknown_fields)]
struct SupplierBill {
    arrives: Day,
    carriage: Amount,
    goods: Amount,
    long_parcel: Amount,
    made_up: Amount,
    small_order: Amount,
    supplier: String,
    total: Amount,
}

/// Whether what comes suffices, whatever lengths it has.
#[derive(JsonSchema)]
#[schemars(deny_unknown_fields)]
struct LengthsThatCome {
    extra: Option<u32>,
    middle: Mm,
    moulding: String,
    pieces: u32,
    supplier: String,
}

/// A layer that a supplier chops.
#[derive(JsonSchema)]
#[schemars(deny_unknown_fields)]
struct ChoppedLayer {
    billed: Mm,
    copy: u32,
    frame: String,
    layer: u32,
    moulding: String,
    offer: Option<u64>,
    supplier: String,
}

/// Until when the order from a supplier can wait.
#[derive(JsonSchema)]
#[schemars(deny_unknown_fields)]
struct DayToOrderBy {
    arrives: Option<Day>,
    copy: Option<u32>,
    frame: Option<String>,
    last: Option<Day>,
    supplier: String,
}

/// When a frame that waits can be cut, and what it adds to the order.
#[derive(JsonSchema)]
#[schemars(deny_unknown_fields)]
struct FrameAwaited {
    arrives: Option<Day>,
    copy: u32,
    cost: Amount,
    earliest: Option<Day>,
    frame: String,
}

/// What more would have to be bought to pay less carriage, and is not.
#[derive(JsonSchema)]
#[schemars(deny_unknown_fields)]
struct NotBoughtMore {
    boxes: bool,
    costs_more: Amount,
    goods: Amount,
    /// Where boxes would stand for sticks that are bought one by one, of those how many.
    #[schemars(skip_serializing_if = "Option::is_none")]
    in_place_of: Option<u32>,
    more: u32,
    moulding: String,
    supplier: String,
}

/// How much of what is bought becomes rails.
#[derive(JsonSchema)]
#[schemars(deny_unknown_fields)]
struct MouldingYield {
    bought: Mm,
    moulding: String,
    rails: Mm,
    rule: Mm,
    with_waste: Mm,
}

/// A frame that waits.
#[derive(JsonSchema)]
#[schemars(deny_unknown_fields)]
struct FrameThatWaits {
    copy: u32,
    due: Option<Day>,
    frame: String,
    reason: String,
    /// The day by which it is cut, where it is put off.
    #[schemars(skip_serializing_if = "Option::is_none")]
    by: Option<Day>,
}

/// Why a frame can not be cut as asked.
#[derive(JsonSchema)]
#[schemars(rename_all = "kebab-case")]
enum HeldKind {
    NoOpening,
    TooShort,
    NoMitre,
    TooLong,
    MatchTooLong,
    RandomLengths,
    NotSold,
    StickTaken,
    NotSettled,
}

/// A frame that can not be cut as asked.
#[derive(JsonSchema)]
#[schemars(deny_unknown_fields)]
struct FrameHeld {
    copy: u32,
    frame: String,
    kind: HeldKind,
    reason: String,
}

/// Which part of the plan.
#[derive(JsonSchema)]
#[schemars(rename_all = "lowercase")]
enum PlanPart {
    Today,
    Order,
}

/// What is known of a moulding's packing.
#[derive(JsonSchema)]
#[schemars(deny_unknown_fields)]
struct PackingProof {
    moulding: String,
    part: PlanPart,
    status: ProofStatus,
    used_up: Amount,
    /// No packing uses up less.
    bound: Amount,
    /// The currency, or `mm`.
    unit: String,
    sticks: u64,
}

/// What it costs that rails are to be alike.
#[derive(JsonSchema)]
#[schemars(deny_unknown_fields)]
struct CostOfMatching {
    moulding: String,
    part: PlanPart,
    status: ProofStatus,
    sticks: u64,
    sticks_free: u64,
    used_up: Amount,
    used_up_free: Amount,
    unit: String,
}

/// What the offcuts of a moulding were good for.
#[derive(JsonSchema)]
#[schemars(deny_unknown_fields)]
struct OffcutsOfMoulding {
    moulding: String,
    saved_at_least: Amount,
    unit: String,
    /// Those that nothing was cut from.
    idle: Vec<String>,
}

/// What to look at.
#[derive(JsonSchema)]
#[schemars(rename_all = "kebab-case")]
enum WarningKind {
    TooThick,
    Late,
    Relaxed,
}

/// Something to look at.
#[derive(JsonSchema)]
#[schemars(deny_unknown_fields)]
struct PlanWarning {
    frame: String,
    kind: WarningKind,
    words: String,
}

/// A machine's day.
#[derive(JsonSchema)]
#[schemars(deny_unknown_fields)]
struct MachineOfDay {
    cutter: String,
    /// Which edge its stop is read at.
    stop: String,
    settings: u64,
    sticks: Vec<StickAtMachine>,
}

/// A stick in the machine's order.
#[derive(JsonSchema)]
#[schemars(deny_unknown_fields)]
struct StickAtMachine {
    number: u64,
    stick: String,
    cuts: Vec<CutAtMachine>,
}

/// A cut.
#[derive(JsonSchema)]
#[schemars(deny_unknown_fields)]
struct CutAtMachine {
    /// Which of the stick's rails, from 1.
    rail: u64,
    /// What the stop reads.
    stop: Mm,
    /// Whether the stop moves.
    set: bool,
    set_mitre: bool,
    turn: bool,
    clamp: bool,
}

/// Why a promise is not kept, or is in doubt: refused by a supplier, as it is below their minimum.
#[derive(JsonSchema)]
#[schemars(rename_all = "snake_case")]
enum BrokenWhy {
    Past,
    Arrives,
    NothingComes,
    NotKnown,
    Overdue,
    Held,
    Refused,
    Closed,
    Hands,
}

/// A promise that this plan does not keep.
#[derive(JsonSchema)]
#[schemars(deny_unknown_fields)]
struct PromiseBroken {
    frame: String,
    copies: u32,
    due: Day,
    why: BrokenWhy,
    arrives: Option<Day>,
}

/// Width and height.
type SizeMm = (Mm, Mm);

/// A ticket's job, from the artwork to the wall.
#[derive(JsonSchema)]
#[schemars(deny_unknown_fields)]
struct TicketJob {
    ticket: String,
    copies: u32,
    note: String,
    due: Option<Day>,
    art: String,
    art_size: SizeMm,
    package: SizeMm,
    opening: Option<SizeMm>,
    mats: Vec<SizeMm>,
    borders: Option<MatBorders>,
    seen: SizeMm,
    outside: SizeMm,
    pieces: Vec<PieceOfJob>,
    thickness: Option<Mm>,
    rabbet_depth: Option<Mm>,
    build_out: Option<Mm>,
    weight: Option<Grams>,
    hanging: HangingOfJob,
    look_at: Vec<ConcernOfJob>,
    steps: Vec<String>,
    cautions: Vec<String>,
    tell: Vec<String>,
    price: Option<Amount>,
}

/// What is seen of the mat on each side.
#[derive(JsonSchema)]
#[schemars(deny_unknown_fields)]
struct MatBorders {
    left: Mm,
    top: Mm,
    right: Mm,
    bottom: Mm,
}

/// A piece to cut or to pick.
#[derive(JsonSchema)]
#[schemars(deny_unknown_fields)]
struct PieceOfJob {
    what: String,
    material: Option<String>,
    width: Option<Mm>,
    height: Option<Mm>,
    opening: Option<SizeMm>,
    count: u32,
    /// Whether it is ordered to its size, as toughened glass is, and never cut.
    made_to_size: bool,
}

/// How it hangs.
#[derive(JsonSchema)]
#[schemars(deny_unknown_fields)]
struct HangingOfJob {
    by: Option<String>,
    hangers_below_top: Mm,
    hangers_from_sides: Mm,
    wire_rise: Option<Mm>,
    tension: Option<Grams>,
    inward: Option<Grams>,
    hooks: u32,
    hooks_apart: Mm,
    hooks_below_top: Mm,
    hanger: Option<FixingOfJob>,
    wire: Option<FixingOfJob>,
    hook: Option<FixingOfJob>,
}

/// What holds it.
#[derive(JsonSchema)]
#[schemars(deny_unknown_fields)]
struct FixingOfJob {
    material: String,
    needs: Grams,
    /// What its packet says that it holds.
    prints: Grams,
}

/// Something to look at first.
#[derive(JsonSchema)]
#[schemars(deny_unknown_fields)]
struct ConcernOfJob {
    name: String,
    words: String,
}
