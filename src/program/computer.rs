//! What the system says of this computer: its addresses and its name.
//! Not here: which of them are told to phones (`web::reach`).

use std::net::IpAddr;

use crate::web::reach::Computer;

/// The computer Endpost runs on.
pub struct ThisComputer;

impl Computer for ThisComputer {
    fn addresses(&self) -> Vec<IpAddr> {
        match if_addrs::get_if_addrs() {
            Ok(interfaces) => interfaces.iter().map(if_addrs::Interface::ip).collect(),
            Err(error) => {
                tracing::warn!(error = ?error, "the system does not tell its addresses");
                Vec::new()
            }
        }
    }

    fn host_name(&self) -> Option<String> {
        gethostname::gethostname().into_string().ok()
    }
}
