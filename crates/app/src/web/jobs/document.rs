//! What stands in a job, shared with the store until someone changes it.
//!
//! Checked by: every test of the pages.

use std::ops::{Deref, DerefMut};
use std::sync::Arc;

use lapwing_store::JobState;
use serde_json::Value;

/// The document of a job.
#[derive(Clone, Debug)]
pub(crate) struct Document(Arc<JobState>);

impl Deref for Document {
    type Target = Value;

    fn deref(&self) -> &Value {
        &self.0.document
    }
}

impl DerefMut for Document {
    fn deref_mut(&mut self) -> &mut Value {
        &mut Arc::make_mut(&mut self.0).document
    }
}

impl From<Arc<JobState>> for Document {
    fn from(state: Arc<JobState>) -> Self {
        Self(state)
    }
}

impl From<Value> for Document {
    fn from(document: Value) -> Self {
        Self(Arc::new(JobState {
            document,
            ..JobState::empty()
        }))
    }
}
