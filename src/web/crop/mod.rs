//! The crop on pages: cluster cards as they are typed and listed.
//! Not here: estimates of a block's crop.

mod clusters_form;
pub mod list;

pub use clusters_form::ClustersForm;
