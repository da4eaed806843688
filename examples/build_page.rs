//! Puts the page together: the module, the script, the style and the words in one HTML file.
//!
//! `cargo run --example build_page -- MODULE.wasm PAGE.html`; `src/web/build.sh` makes the
//! module first. The policy in the page names the script and the style by their digests, so
//! nothing else can run.

use base64::{Engine, engine::general_purpose::STANDARD};
use flate2::{Compression, write::GzEncoder};
use sha2::{Digest, Sha256};
use slabseason::report::paper::PAPER_STYLE;
use slabseason::words;
use std::io::{Error, Write};
use std::path::PathBuf;

const PAGE: &str = include_str!("../src/web/page/index.html");
const STYLE: &str = include_str!("../src/web/page/page.css");
const SCRIPT: &str = include_str!("../src/web/page/page.js");
const WORKER: &str = include_str!("../src/web/page/worker.js");

fn main() -> Result<(), Error> {
    let paths: Vec<PathBuf> = std::env::args_os().skip(1).map(PathBuf::from).collect();
    let [module, page] = paths.as_slice() else {
        return Err(Error::other("usage: build_page MODULE.wasm PAGE.html"));
    };
    let bytes = std::fs::read(module)
        .map_err(|it| Error::other(format!("{}: {it}; build it first", module.display())))?;
    let text = page_of(&packed(&bytes)?);
    if let Some(folder) = page.parent() {
        std::fs::create_dir_all(folder)?;
    }
    std::fs::write(page, &text)?;
    println!(
        "{}: {} bytes; its module: {} bytes",
        page.display(),
        text.len(),
        bytes.len()
    );
    Ok(())
}

/// The module as letters, a third of its size.
fn packed(module: &[u8]) -> Result<String, Error> {
    let mut encoder = GzEncoder::new(Vec::new(), Compression::best());
    encoder.write_all(module)?;
    Ok(STANDARD.encode(encoder.finish()?))
}

fn page_of(module: &str) -> String {
    let style = format!("{PAPER_STYLE}{STYLE}");
    let policy = [
        "default-src 'none'".to_string(),
        format!("script-src '{}' 'wasm-unsafe-eval'", digest(SCRIPT)),
        format!("style-src '{}'", digest(&style)),
        "worker-src blob:".to_string(),
        "img-src data:".to_string(),
        "connect-src 'none'".to_string(),
        "form-action 'none'".to_string(),
        "base-uri 'none'".to_string(),
    ]
    .join("; ");
    let mut res = PAGE.to_string();
    for (key, text) in words::all() {
        res = res.replace(&format!("{{{{{key}}}}}"), &escaped(text));
    }
    for (name, text) in [
        ("policy", policy.as_str()),
        ("licenses", &escaped(&words::licenses_text("page"))),
        ("style", &style),
        ("worker", WORKER),
        ("script", SCRIPT),
        ("module", module),
    ] {
        assert!(
            !text.contains("</script") && !text.contains("</style"),
            "{name} would end its own element"
        );
        res = res.replace(&format!("{{{{{name}}}}}"), text);
    }
    assert!(
        !res.contains("{{"),
        "a blank of the page is not filled: {:.60}",
        &res[res.find("{{").unwrap_or(0)..]
    );
    res
}

/// As a policy names it.
fn digest(text: &str) -> String {
    format!("sha256-{}", STANDARD.encode(Sha256::digest(text)))
}

fn escaped(text: &str) -> String {
    text.replace('&', "&amp;")
        .replace('<', "&lt;")
        .replace('>', "&gt;")
        .replace('"', "&quot;")
}
