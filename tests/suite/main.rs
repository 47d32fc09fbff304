//! The one test program; the rooms' tests are modules below this folder.

mod entry;
