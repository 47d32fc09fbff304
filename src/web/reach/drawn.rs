//! An address in letters and as a square, for pages that are held before a camera.
//! Not here: which address, and the square itself (`code`).

use super::Host;
use super::code::Code;

/// An address with its square.
pub struct Drawn {
    pub url: String,
    pub code: Option<Code>,
}

impl Drawn {
    pub fn of(host: &Host) -> Self {
        Self {
            url: host.url(),
            code: Code::of(host),
        }
    }

    /// A page whose path is in capitals already, so that the square stays small.
    pub fn of_path(host: &Host, path: &str) -> Self {
        let url = format!("{}{path}", host.url());
        Self {
            code: Code::of_text(&url.to_uppercase()),
            url,
        }
    }

    /// A page whose path has capitals and small letters.
    pub fn of_link(host: &Host, path: &str) -> Self {
        let url = format!("{}{path}", host.url());
        Self {
            code: Code::of_text(&url),
            url,
        }
    }
}
