//! Makes `tables/licenses.csv`: what `Cargo.lock` names, under which license, and where it is.
//!
//! `cargo run --example list_licenses > tables/licenses.csv`

use std::collections::{BTreeMap, BTreeSet};
use std::io::{Error, Write};
use std::process::Command;

fn main() -> Result<(), Error> {
    let mut out = std::io::stdout().lock();
    out.write_all(table()?.as_bytes())
}

/// The whole table.
fn table() -> Result<String, Error> {
    let metadata: serde_json::Value =
        serde_json::from_str(&cargo(&["metadata", "--format-version", "1", "--locked"])?)?;
    let in_binary = inside(&["--target", "all"])?;
    let in_page = inside(&[
        "--no-default-features",
        "--target",
        "wasm32-unknown-unknown",
    ])?;
    let mut rows = BTreeMap::new();
    for package in metadata["packages"].as_array().into_iter().flatten() {
        let text = |name: &str| package[name].as_str().unwrap_or_default().to_string();
        if package["source"].is_null() {
            continue;
        }
        let key = (text("name"), text("version"));
        let place = match (in_binary.contains(&key), in_page.contains(&key)) {
            (true, true) => "binary and page",
            (true, false) => "binary",
            (false, true) => "page",
            (false, false) => "tests and tools",
        };
        // An older way to write "or".
        let license = text("license").replace('/', " OR ");
        let words: Vec<&str> = license.split_whitespace().collect();
        rows.insert(key, (words.join(" "), place));
    }
    let mut out = "# What: the packages of others that Cargo.lock names, their licenses, and where each is used\n\
         # Unit: licenses as SPDX expressions; inside is binary, page, binary and page, or tests and tools; binary holds what any system needs\n\
         # Source: the packages' own descriptions; made by examples/list_licenses.rs\n\
         name,version,license,inside\n"
        .to_string();
    for ((name, version), (license, place)) in rows {
        out.push_str(&format!("{name},{version},{license},{place}\n"));
    }
    Ok(out)
}

/// Name and version of all that is compiled into the program or the page.
fn inside(options: &[&str]) -> Result<BTreeSet<(String, String)>, Error> {
    let mut typed = vec!["tree", "--locked", "-e", "normal", "--prefix", "none"];
    typed.extend(["-f", "{p}"]);
    typed.extend(options);
    let pair = |line: &str| {
        let mut words = line.split_whitespace();
        let name = words.next()?.to_string();
        Some((name, words.next()?.trim_start_matches('v').to_string()))
    };
    Ok(cargo(&typed)?.lines().filter_map(pair).collect())
}

fn cargo(typed: &[&str]) -> Result<String, Error> {
    let output = Command::new(env!("CARGO")).args(typed).output()?;
    if !output.status.success() {
        return Err(Error::other(
            String::from_utf8_lossy(&output.stderr).into_owned(),
        ));
    }
    String::from_utf8(output.stdout).map_err(Error::other)
}
