//! What is wished of this run: `--rush`, `--only` and `--rack-only`.

use std::collections::BTreeSet;

use super::exit::WrongInput;
use crate::plan::Wishes;
use crate::shop::Shop;

/// The options of a run.
#[derive(Debug, clap::Args)]
pub struct Wished {
    /// Put these frames before all others, whatever their dates
    #[arg(long, value_name = "FRAME", num_args = 1..)]
    pub rush: Vec<String>,
    /// Plan these frames and leave all others aside
    #[arg(long, value_name = "FRAME", num_args = 1..)]
    pub only: Vec<String>,
    /// Buy nothing: what cannot be cut from the rack today waits
    #[arg(long)]
    pub rack_only: bool,
}

impl Wished {
    /// The wishes, once every frame that they name is known.
    ///
    /// # Errors
    /// [`WrongInput`] with every name that is not on the pile, and every frame
    /// that is rushed and left aside at once.
    pub(super) fn of(&self, shop: &Shop) -> Result<Wishes, WrongInput> {
        let mut faults = Vec::new();
        for (option, ids) in [("--rush", &self.rush), ("--only", &self.only)] {
            let unknown = ids.iter().filter_map(|id| shop.find_frame(id).err());
            faults.extend(unknown.map(|unknown| format!("{option}: {unknown}")));
        }
        let set = |ids: &[String]| ids.iter().cloned().collect::<BTreeSet<String>>();
        let (rush, only) = (set(&self.rush), set(&self.only));
        if faults.is_empty() && !only.is_empty() {
            let aside = rush.difference(&only);
            faults.extend(aside.map(|id| {
                format!("--rush: frame {id} is left aside by --only (name it there too)")
            }));
        }
        if !faults.is_empty() {
            return Err(WrongInput(faults.join("\n")));
        }
        let only = (!only.is_empty()).then_some(only);
        Ok(Wishes { rush, only, rack_only: self.rack_only })
    }
}
