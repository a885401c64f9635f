//! `longpoint completions` and `longpoint man`: what a shell and a manual are told of the
//! command line, from the same source as `--help`.

use std::io::Write;
use std::path::PathBuf;

use clap::Command;
use clap_complete::{Shell, generate};
use clap_mangen::Man;

use crate::report::folder;

/// What `longpoint completions` is told.
#[derive(Debug, clap::Args)]
pub struct CompletionsArgs {
    /// The shell
    pub shell: Shell,
}

/// What `longpoint man` is told.
#[derive(Debug, clap::Args)]
pub struct ManArgs {
    /// Write a page for each command into this folder; without it, the first is printed
    #[arg(long, value_name = "DIR")]
    pub out: Option<PathBuf>,
}

/// Prints what the shell is to know of the whole command line.
///
/// # Errors
/// If `out` cannot be written to.
pub fn completions(
    args: &CompletionsArgs,
    mut whole: Command,
    out: &mut dyn Write,
) -> anyhow::Result<()> {
    let mut script = Vec::new();
    generate(args.shell, &mut whole, "longpoint", &mut script);
    out.write_all(&script)?;
    Ok(())
}

/// Prints the manual's first page, or writes all of them.
///
/// # Errors
/// If they cannot be written.
pub fn man(args: &ManArgs, whole: Command, out: &mut dyn Write) -> anyhow::Result<()> {
    let Some(dir) = &args.out else {
        out.write_all(page(whole)?.as_bytes())?;
        return Ok(());
    };
    let own = |of: &Command| -> anyhow::Result<(String, String)> {
        let name = format!("longpoint-{}", of.get_name());
        let named = of.clone().name(name.clone()).bin_name(format!("longpoint {}", of.get_name()));
        Ok((format!("{name}.1"), page(named)?))
    };
    let mut pages: Vec<(String, String)> =
        whole.get_subcommands().map(own).collect::<anyhow::Result<_>>()?;
    pages.insert(0, ("longpoint.1".to_owned(), page(whole)?));
    folder::write(dir, &pages)?;
    writeln!(out, "Wrote {} pages of the manual to {}.", pages.len(), dir.display())?;
    Ok(())
}

fn page(command: Command) -> anyhow::Result<String> {
    let mut text = Vec::new();
    Man::new(command).render(&mut text)?;
    Ok(String::from_utf8(text)?)
}
