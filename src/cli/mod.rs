//! The command line: one file a command.

mod book;
mod calendar;
mod check;
mod clock;
mod demo;
mod effort;
mod exit;
mod fits;
mod interrupt;
mod job;
mod lacking;
mod lists;
mod manual;
mod members;
pub mod pack;
mod plan;
mod progress;
mod quote;
mod rails;
mod seconds;
mod serve;
mod sheets;
mod shop;
mod threads;
mod usage;
mod why;
mod wishes;
mod work;
mod year;

use std::io::{self, ErrorKind, Write};
use std::process::ExitCode;
use std::sync::LazyLock;

use clap::{CommandFactory, Parser};

use crate::book::{Assembly, BookError};
use exit::{FAILED, NOT_IN_TIME, NotInTime, Out, WRONG_INPUT, say_wrong, tell};

pub use exit::WrongInput;
pub use usage::answer;

/// The version, with the commit that `build.rs` found, or was told.
static VERSION: LazyLock<String> = LazyLock::new(|| {
    let commit = option_env!("LONGPOINT_COMMIT").unwrap_or("of an unknown commit");
    format!("{} ({commit})", env!("CARGO_PKG_VERSION"))
});

/// Plans a framing shop's morning: pending frames into mitred rails, rails
/// into the sticks and offcuts on the rack, with a proof.
#[derive(Debug, Parser)]
#[command(name = "longpoint", version = VERSION.as_str())]
pub enum Cli {
    /// Write an example shop folder, an invented shop on a Wednesday morning
    Demo(demo::Demo),
    /// Check a shop folder and name every fault in it
    Check(check::CheckArgs),
    /// Say what was read of suppliers' price lists, and what changed in one
    Lists(lists::ListsArgs),
    /// List every rail of every frame
    Rails(rails::RailsArgs),
    /// Plan the morning: what to cut from which stick, what to order, what waits
    Plan(plan::PlanArgs),
    /// Say why a frame stands where it stands, and what would change it
    Why(why::Why),
    /// Show one job: from its artwork to its pieces, its weight and its hanging
    Job(job::JobArgs),
    /// Say what the rack can make now besides today's plan
    Fits(fits::Fits),
    /// Quote a frame: its rails, its footage and its moulding's cost, today
    Quote(quote::QuoteArgs),
    /// Say what boards and glass stand there, and what to cut from what
    Sheets(sheets::SheetsArgs),
    /// Simulate a year of this shop: what each way to cut comes to, and what none can beat
    Year(year::YearArgs),
    /// Answer tasks from standard input, a line each: plans and simulated years for a driver
    Work(work::WorkArgs),
    /// Pack plain lengths into stock, as few or as cheap as can be
    Pack(pack::Pack),
    /// Begin a book from a shop folder
    Open(book::open::OpenArgs),
    /// Take over changed files of a shop folder into a book, all but its rack
    Refresh(book::refresh::RefreshArgs),
    /// Write a book back as a shop folder
    Export(book::export::ExportArgs),
    /// Plan the morning and take the plan to the bench
    Take(book::take::TakeArgs),
    /// Say what is at the bench: what is cut, what is to be cut, what is owed
    Bench(book::bench::BenchArgs),
    /// Tick off cuts of a stick, or everything at the bench
    Cut(book::cut::CutArgs),
    /// Write down that a rail was spoiled
    Spoil(book::spoil::SpoilArgs),
    /// Cancel a ticket, on the pile or at the bench
    Cancel(book::cancel::CancelArgs),
    /// Write down that a ticket has another size, or is wanted on another day
    Ticket(book::ticket::TicketArgs),
    /// Write down a flaw that was found on a stick
    Flaw(book::flaw::FlawArgs),
    /// Plan the rest of the day again around what was spoiled or found flawed
    Replan(book::replan::ReplanArgs),
    /// Finish the day: offcuts to the rack, scrap written off, frames chopped
    Finish(book::finish::FinishArgs),
    /// Write down that the rails of a frame are joined
    Joined(book::made::MadeArgs),
    /// Write down that a frame is fitted
    Fitted(book::made::MadeArgs),
    /// Put a plan back unused
    PutBack(book::put_back::PutBackArgs),
    /// Undo the last step
    Undo(book::undo::UndoArgs),
    /// Place the order that the plan asks for, or list and drop open lines
    Order(book::order::OrderArgs),
    /// Write down a supplier's change of price, or that they are out of something
    Offer(book::offer::OfferArgs),
    /// Write down that a supplier confirms an order, for which day and by what number
    Confirm(book::confirm::ConfirmArgs),
    /// Write down that lines of an order come later, or nobody knows when
    Expect(book::expect::ExpectArgs),
    /// Take what a supplier delivered onto the rack
    Receive(book::receive::ReceiveArgs),
    /// Hold a supplier's invoice against the order and what came of it
    Invoice(book::invoice::InvoiceArgs),
    /// Take stock of a place: confirm, correct, report what is different
    Count(book::count::CountArgs),
    /// Correct a stick: its measured length, its lot, place, flaws or moulding
    Correct(book::correct::CorrectArgs),
    /// Write off sticks
    Scrap(book::scrap::ScrapArgs),
    /// List the rack: find, age, worth, what to clear
    Rack(book::rack::RackArgs),
    /// Tell the history and the family of a stick
    Stick(book::stick::StickArgs),
    /// Write labels to print for sticks and offcuts
    Labels(book::labels::LabelsArgs),
    /// Show yield, offcuts, scrap and spoiled rails by moulding and month
    Figures(book::figures::FiguresArgs),
    /// Prove that the book adds up, to the nanometre
    Audit(book::audit::AuditArgs),
    /// Serve the shop's page from a book, to tablets, counter and wall
    Serve(serve::ServeArgs),
    /// Copy a book, whole even while others use it
    Backup(book::backup::BackupArgs),
    /// Print due dates for a calendar, as iCalendar
    Calendar(calendar::CalendarArgs),
    /// Print what a shell needs to complete commands
    Completions(manual::CompletionsArgs),
    /// Print or write the manual
    Man(manual::ManArgs),
}

/// Runs one command, writing its result to `out`, and gives the exit code:
/// 0 done, 1 the program failed, 2 the input is wrong, 3 the answer is no. What went wrong is
/// written to standard error; a reader that goes away early is no error.
pub fn run(cli: &Cli, out: &mut dyn Write) -> ExitCode {
    interrupt::listen();
    let out = &mut Out(out);
    let done = match cli {
        Cli::Demo(args) => demo::run(args, out),
        Cli::Check(args) => check::run(args, out),
        Cli::Lists(args) => lists::run(args, out),
        Cli::Rails(args) => rails::run(args, out),
        Cli::Plan(args) => plan::run(args, out),
        Cli::Why(args) => why::run(args, out),
        Cli::Job(args) => job::run(args, out),
        Cli::Fits(args) => fits::run(args, out),
        Cli::Quote(args) => quote::run(args, out),
        Cli::Sheets(args) => sheets::run(args, out),
        Cli::Year(args) => year::run(args, out),
        Cli::Work(args) => work::run(args, out),
        Cli::Pack(args) => pack::run(args, out),
        Cli::Open(args) => book::open::run(args, out),
        Cli::Refresh(args) => book::refresh::run(args, out),
        Cli::Export(args) => book::export::run(args, out),
        Cli::Take(args) => book::take::run(args, out),
        Cli::Bench(args) => book::bench::run(args, out),
        Cli::Cut(args) => book::cut::run(args, out),
        Cli::Spoil(args) => book::spoil::run(args, out),
        Cli::Cancel(args) => book::cancel::run(args, out),
        Cli::Ticket(args) => book::ticket::run(args, out),
        Cli::Flaw(args) => book::flaw::run(args, out),
        Cli::Replan(args) => book::replan::run(args, out),
        Cli::Finish(args) => book::finish::run(args, out),
        Cli::Joined(args) => book::made::run(args, Assembly::Joined, out),
        Cli::Fitted(args) => book::made::run(args, Assembly::Fitted, out),
        Cli::PutBack(args) => book::put_back::run(args, out),
        Cli::Undo(args) => book::undo::run(args, out),
        Cli::Order(args) => book::order::run(args, out),
        Cli::Offer(args) => book::offer::run(args, out),
        Cli::Confirm(args) => book::confirm::run(args, out),
        Cli::Expect(args) => book::expect::run(args, out),
        Cli::Receive(args) => book::receive::run(args, out),
        Cli::Invoice(args) => book::invoice::run(args, out),
        Cli::Count(args) => book::count::run(args, out),
        Cli::Correct(args) => book::correct::run(args, out),
        Cli::Scrap(args) => book::scrap::run(args, out),
        Cli::Rack(args) => book::rack::run(args, out),
        Cli::Stick(args) => book::stick::run(args, out),
        Cli::Labels(args) => book::labels::run(args, out),
        Cli::Figures(args) => book::figures::run(args, out),
        Cli::Audit(args) => book::audit::run(args, out),
        Cli::Serve(args) => serve::run(args, out),
        Cli::Backup(args) => book::backup::run(args, out),
        Cli::Calendar(args) => calendar::run(args, out),
        Cli::Completions(args) => manual::completions(args, Cli::command(), out),
        Cli::Man(args) => manual::man(args, Cli::command(), out),
    };
    match done.and_then(|()| Ok(out.flush()?)) {
        Ok(()) => ExitCode::SUCCESS,
        Err(error) if is_broken_pipe(&error) => ExitCode::SUCCESS,
        Err(error) if is_done_already(&error) => {
            tell(&format!("{error:#}"));
            ExitCode::SUCCESS
        }
        Err(error) if error.is::<NotInTime>() => ExitCode::from(NOT_IN_TIME),
        Err(error) if error.is::<WrongInput>() => {
            tell(&format!("{error:#}"));
            ExitCode::from(WRONG_INPUT)
        }
        Err(error) => {
            say_wrong(&format!("{error:#}"));
            ExitCode::from(error.downcast_ref().map_or(FAILED, |ended: &interrupt::Ended| ended.0))
        }
    }
}

/// Whether what was asked was asked before, with the same token, and done then.
fn is_done_already(error: &anyhow::Error) -> bool {
    matches!(error.downcast_ref(), Some(BookError::Repeated(_)))
}

fn is_broken_pipe(error: &anyhow::Error) -> bool {
    error.chain().any(|cause| {
        let direct = cause.downcast_ref::<io::Error>().map(io::Error::kind);
        let json = cause.downcast_ref::<serde_json::Error>();
        direct.or(json.and_then(serde_json::Error::io_error_kind)) == Some(ErrorKind::BrokenPipe)
    })
}
