//! What comes over the wire, well-meant or not, and that every answer is one of our pages.
//! Not here: what a browser makes of them (`browser`), and the rooms' own stories.

mod acts;
pub mod addresses;
mod asked;
mod disk;
mod history;
pub mod hostile;
mod keeping;
mod manners;
mod overtaken;
mod rows;
mod scripts;
mod stops;
mod twice;
