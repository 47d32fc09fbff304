//! The one test program. Nothing here but the list of its rooms.

mod access;
mod anything;
mod binary;
mod browser;
mod cards;
mod copies;
mod daybook;
mod harvest;
mod helpers;
mod paper;
mod phones;
mod places;
mod program;
mod published;
mod reach;
mod ripeness;
mod sprays;
mod store;
mod support;
mod tidy;
mod typed;
mod weather;
mod web;
