//! What a basement slab will do in its wettest month, from one reading taken in a drier one.
//!
//! The folders are an order: each may use the ones above it, never the ones below.
//! `climate` to `lessons` read no file, no clock and no random number: the same visit gives
//! the same bytes on every machine.

// Talk goes through `cli::output`, which minds a reader that has gone away and what a terminal obeys.
#![deny(clippy::print_stderr, clippy::print_stdout)]
// The public items say what they are, their unit and their range.
#![warn(missing_docs)]

pub mod units;

pub mod climate;

pub mod season;

pub mod slab;

pub mod survey;

pub mod odds;

pub mod rules;

pub mod verdict;

pub mod words;

pub mod report;

pub mod batch;

pub mod lessons;

pub mod ledger;

#[cfg(feature = "terminal")]
pub mod cli;

pub mod web;
