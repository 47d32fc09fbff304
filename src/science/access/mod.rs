//! Who may come in and what they may do there: the people by their initials, roles and the rules
//! of addresses, codes that let a phone in, and how guessing is slowed.
//! Not here: sessions and cookies (`web::access`), and where they are kept (`store::access`).

mod code;
mod right;
mod tries;

use serde::{Deserialize, Serialize};

pub use code::{NoPhoneCode, PhoneCode};
pub use right::{Role, Rule, Shows, Standing};
pub use tries::Tries;

/// Somebody whose initials stand beside entries.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Person {
    pub initials: String,
    pub name: Option<String>,
    /// Offered on forms. People who left keep their initials on what they wrote.
    pub here: bool,
}
