//! The crop on pages: cluster cards as they are typed and listed.
//! Not here: estimates of a block's crop.

mod clusters_form;
pub mod list;

use super::site::Site;
use crate::science::access::Rule;
pub use clusters_form::ClustersForm;

/// The addresses of this room.
pub fn routes(site: Site) -> Site {
    site.get("/clusters", Rule::Look, list::get)
        .form(&ClustersForm)
}
