//! Puts the page together: the module, the script, the style and the words in one HTML file, and
//! beside it a folder for any static host.
//!
//! `cargo run --example build_page -- MODULE.wasm PAGE.html`; `src/web/build.sh` makes the
//! module first. The policy in the page names the script and the style by their digests, so
//! nothing else can run. The folder `site` next to the page holds the same page with a manifest,
//! icons, and a script that keeps all of it on the device.

use base64::{Engine, engine::general_purpose::STANDARD};
use flate2::{Compression, Crc, write::GzEncoder, write::ZlibEncoder};
use sha2::{Digest, Sha256};
use slabseason::report::paper::PAPER_STYLE;
use slabseason::words;
use std::io::{Error, Write};
use std::path::PathBuf;

const PAGE: &str = include_str!("../src/web/page/index.html");
const STYLE: &str = include_str!("../src/web/page/page.css");
/// The parts of the script, in the order in which they use each other.
const SCRIPTS: [&str; 8] = [
    include_str!("../src/web/page/base.js"),
    include_str!("../src/web/page/store.js"),
    include_str!("../src/web/page/quick.js"),
    include_str!("../src/web/page/question.js"),
    include_str!("../src/web/page/result.js"),
    include_str!("../src/web/page/visits.js"),
    include_str!("../src/web/page/learn.js"),
    include_str!("../src/web/page/main.js"),
];
const WORKER: &str = include_str!("../src/web/page/worker.js");
const KEEPER: &str = include_str!("../src/web/page/keeper.js");

/// Where the page will be opened from.
#[derive(Clone, Copy, PartialEq)]
enum Home {
    /// One file, from a disk or a phone.
    File,
    /// A folder on a static host.
    Site,
}

fn main() -> Result<(), Error> {
    let paths: Vec<PathBuf> = std::env::args_os().skip(1).map(PathBuf::from).collect();
    let [module, page] = paths.as_slice() else {
        return Err(Error::other("usage: build_page MODULE.wasm PAGE.html"));
    };
    let bytes = std::fs::read(module)
        .map_err(|it| Error::other(format!("{}: {it}; build it first", module.display())))?;
    let module = packed(&bytes)?;
    let text = page_of(&module, Home::File);
    let folder = page.parent().map_or(PathBuf::new(), PathBuf::from);
    let site = folder.join("site");
    std::fs::create_dir_all(&site)?;
    std::fs::write(page, &text)?;
    println!(
        "{}: {} bytes; its module: {} bytes",
        page.display(),
        text.len(),
        bytes.len()
    );
    let hosted = page_of(&module, Home::Site);
    let keeper = KEEPER.replace("{{version}}", &version(&hosted));
    std::fs::write(site.join("index.html"), hosted)?;
    std::fs::write(site.join("keeper.js"), keeper)?;
    std::fs::write(site.join("manifest.webmanifest"), manifest())?;
    for size in [192, 512] {
        std::fs::write(site.join(format!("icon-{size}.png")), icon(size)?)?;
    }
    println!("{}: the same for a static host", site.display());
    Ok(())
}

/// The module as letters, under a third of its size.
fn packed(module: &[u8]) -> Result<String, Error> {
    let mut encoder = GzEncoder::new(Vec::new(), Compression::best());
    encoder.write_all(module)?;
    Ok(letters_of(&encoder.finish()?))
}

/// Bytes in base 85, five letters for every four, a twentieth less than base 64 takes: the
/// printable letters of ASCII but the nine that mean something in markup, in a script or in a
/// blank of the page. What is left of the last four is filled up with 0, and only the letters
/// that tell it are written. `worker.js` reads them.
fn letters_of(bytes: &[u8]) -> String {
    let letters: Vec<u8> = (b'!'..=b'~')
        .filter(|it| !b"\"&'-<\\`{}".contains(it))
        .collect();
    assert_eq!(letters.len(), 85);
    let mut res = String::with_capacity(bytes.len() / 4 * 5 + 5);
    for four in bytes.chunks(4) {
        let mut whole = [0; 4];
        whole[..four.len()].copy_from_slice(four);
        let number = u32::from_be_bytes(whole);
        for place in (0..5).rev().take(four.len() + 1) {
            res.push(letters[(number / 85_u32.pow(place) % 85) as usize].into());
        }
    }
    res
}

fn page_of(module: &str, home: Home) -> String {
    let style = format!("{PAPER_STYLE}{STYLE}");
    let script = SCRIPTS.concat();
    let (worker_sources, picture_sources, manifest_sources) = match home {
        Home::File => ("blob:", "data: blob:", "'none'"),
        Home::Site => ("blob: 'self'", "data: blob: 'self'", "'self'"),
    };
    let policy = [
        "default-src 'none'".to_string(),
        format!("script-src '{}' 'wasm-unsafe-eval'", digest(&script)),
        format!("style-src '{}'", digest(&style)),
        format!("worker-src {worker_sources}"),
        format!("img-src {picture_sources}"),
        format!("manifest-src {manifest_sources}"),
        "connect-src 'none'".to_string(),
        "form-action 'none'".to_string(),
        "base-uri 'none'".to_string(),
    ]
    .join("; ");
    let (hosted, links) = match home {
        Home::File => ("", "<link rel=\"icon\" href=\"data:,\">"),
        Home::Site => (
            " data-hosted",
            "<link rel=\"icon\" href=\"icon-192.png\">\n<link rel=\"apple-touch-icon\" href=\"icon-192.png\">\n<link rel=\"manifest\" href=\"manifest.webmanifest\">",
        ),
    };
    let mut res = PAGE.to_string();
    for (key, text) in words::all() {
        res = res.replace(&format!("{{{{{key}}}}}"), &escaped(text));
    }
    for (name, text) in [
        ("policy", policy.as_str()),
        ("licenses", &escaped(&words::licenses_text("page"))),
        ("hosted", hosted),
        ("links", links),
        ("version", &version(&format!("{script}{style}{module}"))),
        ("style", &style),
        ("worker", WORKER),
        ("script", &script),
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

/// The version, with the first letters of a digest of what is in it.
fn version(content: &str) -> String {
    let digest: String = Sha256::digest(content)
        .iter()
        .take(4)
        .map(|it| format!("{it:02x}"))
        .collect();
    format!("{} {digest}", env!("CARGO_PKG_VERSION"))
}

fn manifest() -> String {
    let icon = |size: u32| {
        serde_json::json!({
            "src": format!("icon-{size}.png"), "sizes": format!("{size}x{size}"),
            "type": "image/png", "purpose": "any maskable",
        })
    };
    let manifest = serde_json::json!({
        "name": "slabseason", "short_name": "slabseason", "start_url": "./", "scope": "./",
        "display": "standalone", "background_color": "#e9ecec", "theme_color": "#12181b",
        "icons": [icon(192), icon(512)],
    });
    format!("{manifest:#}\n")
}

/// The icon, drawn by us: a slab of four tiles, the water standing in the lower two, and a drop.
fn icon(size: u32) -> Result<Vec<u8>, Error> {
    const INK: [u8; 3] = [0x12, 0x18, 0x1b];
    const TILE: [u8; 3] = [0xe9, 0xec, 0xec];
    const WATER: [u8; 3] = [0x3a, 0x7b, 0xb4];
    const DROP: [u8; 3] = [0xff, 0xff, 0xff];
    let color = |x: u32, y: u32| {
        // In hundredths of the picture; the middle 80 stay clear of a round mask.
        let (x, y) = (x * 100 / size, y * 100 / size);
        let (across, up) = (x as i32 - 50, 62 - y as i32);
        let in_drop = {
            let half = if up <= 0 { 11 } else { 11 - up * 11 / 26 };
            let is_round = across * across + up * up <= 121;
            is_round || (0..=26).contains(&up) && across.abs() <= half
        };
        let in_tile = |at: u32| (22..49).contains(&at) || (52..79).contains(&at);
        if in_drop {
            DROP
        } else if in_tile(x) && in_tile(y) {
            if y < 52 { TILE } else { WATER }
        } else {
            INK
        }
    };
    let mut rows = Vec::with_capacity((size * (3 * size + 1)) as usize);
    for y in 0..size {
        rows.push(0);
        for x in 0..size {
            rows.extend(color(x, y));
        }
    }
    let mut encoder = ZlibEncoder::new(Vec::new(), Compression::best());
    encoder.write_all(&rows)?;
    let mut res = b"\x89PNG\r\n\x1a\n".to_vec();
    let mut part = |name: &[u8; 4], data: &[u8]| {
        res.extend((data.len() as u32).to_be_bytes());
        let mut crc = Crc::new();
        crc.update(name);
        crc.update(data);
        res.extend(name);
        res.extend(data);
        res.extend(crc.sum().to_be_bytes());
    };
    let mut head = Vec::new();
    head.extend(size.to_be_bytes());
    head.extend(size.to_be_bytes());
    // Eight bits a color, red, green and blue, no interlacing.
    head.extend([8, 2, 0, 0, 0]);
    part(b"IHDR", &head);
    part(b"IDAT", &encoder.finish()?);
    part(b"IEND", &[]);
    Ok(res)
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
