//! The people of the farm: initials from a list, no accounts.
//! Not here: sessions, devices and roles.

use serde::{Deserialize, Serialize};

/// Somebody whose initials stand beside entries.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Person {
    pub initials: String,
    pub name: Option<String>,
    /// Offered on forms. People who left keep their initials on what they wrote.
    pub here: bool,
}
