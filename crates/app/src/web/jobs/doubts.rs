//! What the film of each job asks a person to decide, remembered by version.
//!
//! The list of jobs shows at once; what the gauge's readings say is looked up
//! in a second request of the page and kept as long as the job does not change.
//! Checked by: `tests/web_shop.rs`.

use std::collections::HashMap;
use std::sync::Mutex;

use lapwing_store::JobGlance;

use super::super::Bay;
use super::super::refusal::Refusal;
use super::Kept;
use crate::commands::job_film::Decisions;

/// So many jobs are remembered.
const REMEMBERED: usize = 4000;

/// What was found of jobs, with the version it was found at.
#[derive(Default)]
pub(crate) struct Doubts {
    known: Mutex<HashMap<String, (i64, Decisions)>>,
}

impl Doubts {
    /// What is known of a job without looking.
    pub(crate) fn known(&self, job: &JobGlance) -> Option<Decisions> {
        let known = self.known.lock().ok()?;
        let (version, found) = known.get(&job.id)?;
        (*version == job.version).then_some(*found)
    }

    /// Looks at every job that is not known yet.
    pub(crate) async fn look(&self, bay: &Bay, jobs: &[JobGlance]) -> Result<(), Refusal> {
        for job in jobs {
            if self.known(job).is_some() {
                continue;
            }
            let kept = Kept::bare(bay, &job.id).await?;
            let found = if kept.count_readings() == 0 {
                Decisions::default()
            } else {
                let looked = bay.plans.decisions_of(&kept).await;
                // A table that cannot be read is a doubt of its own.
                looked.unwrap_or(Decisions {
                    doubts: 1,
                    ..Decisions::default()
                })
            };
            if let Ok(mut known) = self.known.lock() {
                if known.len() >= REMEMBERED {
                    known.clear();
                }
                known.insert(job.id.clone(), (kept.version, found));
            }
        }
        Ok(())
    }
}
