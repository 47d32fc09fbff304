//! The one test program. Nothing here but the list of its rooms.

mod binary;
mod browser;
mod entry;
mod paper;
mod published;
mod store;
mod support;
mod tidy;
mod web;
