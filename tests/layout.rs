//! The order of the folders, what the core must not use, and what lies at the top.

use crate::floors::root;
use std::collections::{BTreeMap, BTreeSet};
use std::path::{Path, PathBuf};

/// Every folder may use those before it.
const ORDER: [&str; 15] = [
    "units", "climate", "season", "slab", "survey", "odds", "rules", "verdict", "words", "report",
    "batch", "lessons", "ledger", "cli", "web",
];

/// Macros and modules at the root of the crate that any folder may name.
const AT_THE_ROOT: [&str; 1] = ["named_table"];

/// What would make a result depend on more than the visit, in any folder up to `lessons`.
const OUTSIDE: [&str; 19] = [
    "std::fs",
    "std::io",
    "std::env",
    "std::net",
    "std::process",
    "std::time",
    "std::thread",
    "SystemTime",
    "Instant",
    "rayon",
    "rand::",
    "Utc::now",
    "Local::now",
    "println!",
    "print!",
    "eprintln!",
    "eprint!",
    "dbg!",
    "static mut",
];

/// Functions whose last digit differs between machines; the core takes them from `libm`.
const PLATFORM_MATH: [&str; 22] = [
    "exp", "exp2", "exp_m1", "ln", "ln_1p", "log", "log2", "log10", "powf", "powi", "sin", "cos",
    "sin_cos", "tan", "asin", "acos", "atan", "atan2", "sinh", "cosh", "tanh", "mul_add",
];

/// What may lie at the top of the repository.
const TOP: [&str; 12] = [
    "Cargo.toml",
    "Cargo.lock",
    "README.md",
    "DEVELOPERS.md",
    "LICENSE",
    "src",
    "tables",
    "tests",
    "examples",
    ".gitignore",
    ".ci",
    ".git",
];

/// Files of a folder and the folders in it, by path.
fn files_under(folder: &Path) -> Vec<PathBuf> {
    let mut res = Vec::new();
    let mut entries: Vec<PathBuf> = std::fs::read_dir(folder)
        .unwrap_or_else(|it| panic!("{}: {it}", folder.display()))
        .map(|it| it.unwrap().path())
        .collect();
    entries.sort();
    for path in entries {
        if path.is_dir() {
            res.extend(files_under(&path));
        } else {
            res.push(path);
        }
    }
    res
}

/// One source file of a folder of `src`, without comments, strings and tests.
struct Source {
    folder: String,
    /// Path below `src`.
    path: PathBuf,
    code: String,
}

/// All Rust sources in folders of `src`.
fn sources() -> Vec<Source> {
    let src = root().join("src");
    let mut res = Vec::new();
    for file in files_under(&src) {
        let path = file.strip_prefix(&src).unwrap().to_path_buf();
        let is_rust = path.extension().is_some_and(|it| it == "rs");
        if is_rust && path.components().count() > 1 {
            let first = path.components().next().unwrap();
            res.push(Source {
                folder: first.as_os_str().to_str().unwrap().to_string(),
                code: without_tests(&without_comments_and_strings(
                    &std::fs::read_to_string(&file).unwrap(),
                )),
                path,
            });
        }
    }
    res
}

/// The text with comments and the insides of strings and characters made blank.
fn without_comments_and_strings(text: &str) -> String {
    let chars: Vec<char> = text.chars().collect();
    let mut out = String::with_capacity(text.len());
    let blank = |out: &mut String, it: char| out.push(if it == '\n' { '\n' } else { ' ' });
    let mut at = 0;
    while at < chars.len() {
        let rest = |ahead: usize| chars.get(at + ahead).copied().unwrap_or('\0');
        let before_is_name = at > 0 && (chars[at - 1].is_alphanumeric() || chars[at - 1] == '_');
        match chars[at] {
            '/' if rest(1) == '/' => {
                while at < chars.len() && chars[at] != '\n' {
                    blank(&mut out, chars[at]);
                    at += 1;
                }
            }
            '/' if rest(1) == '*' => {
                let mut depth = 0;
                loop {
                    let pair = (chars[at], chars.get(at + 1).copied().unwrap_or('\0'));
                    let taken = match pair {
                        ('/', '*') => {
                            depth += 1;
                            2
                        }
                        ('*', '/') => {
                            depth -= 1;
                            2
                        }
                        _ => 1,
                    };
                    for it in &chars[at..at + taken] {
                        blank(&mut out, *it);
                    }
                    at += taken;
                    if depth == 0 || at >= chars.len() {
                        break;
                    }
                }
            }
            'r' if !before_is_name && (rest(1) == '"' || (rest(1) == '#' && rest(2) != '!')) => {
                let hashes = chars[at + 1..].iter().take_while(|it| **it == '#').count();
                if rest(1 + hashes) != '"' {
                    // A raw name such as r#type.
                    out.push(chars[at]);
                    at += 1;
                    continue;
                }
                let mut end = at + 2 + hashes;
                while end < chars.len()
                    && !(chars[end] == '"'
                        && chars[end + 1..].iter().take(hashes).all(|it| *it == '#'))
                {
                    end += 1;
                }
                for it in &chars[at..(end + 1 + hashes).min(chars.len())] {
                    blank(&mut out, *it);
                }
                at = end + 1 + hashes;
            }
            '"' => {
                out.push('"');
                at += 1;
                while at < chars.len() && chars[at] != '"' {
                    if chars[at] == '\\' {
                        out.push(' ');
                        at += 1;
                    }
                    blank(&mut out, chars[at]);
                    at += 1;
                }
                out.push('"');
                at += 1;
            }
            // A character, not a lifetime.
            '\'' if rest(2) == '\'' && rest(1) != '\\' => {
                out.push_str("' '");
                at += 3;
            }
            '\'' if rest(1) == '\\' => {
                let end = (at + 3..chars.len())
                    .find(|it| chars[*it] == '\'')
                    .unwrap_or(chars.len() - 1);
                for _ in at..=end {
                    out.push(' ');
                }
                at = end + 1;
            }
            it => {
                out.push(it);
                at += 1;
            }
        }
    }
    out
}

/// The code without what is compiled for tests only.
fn without_tests(code: &str) -> String {
    let mut out = code.to_string();
    while let Some(start) = out.find("#[cfg(test)]") {
        let body = out[start..].find(['{', ';']).map(|it| start + it);
        let end = match body {
            Some(at) if out[at..].starts_with('{') => {
                let mut depth = 0;
                let mut end = out.len();
                for (offset, it) in out[at..].char_indices() {
                    depth += match it {
                        '{' => 1,
                        '}' => -1,
                        _ => 0,
                    };
                    if depth == 0 {
                        end = at + offset + 1;
                        break;
                    }
                }
                end
            }
            Some(at) => at + 1,
            None => out.len(),
        };
        let lines = "\n".repeat(out[start..end].matches('\n').count());
        out.replace_range(start..end, &lines);
    }
    out
}

/// The number of the line at a place in the text.
fn line_at(code: &str, at: usize) -> usize {
    code[..at].matches('\n').count() + 1
}

fn is_name(it: char) -> bool {
    it.is_alphanumeric() || it == '_'
}

/// The name at the start of the text.
fn leading_name(text: &str) -> &str {
    let end = text.find(|it| !is_name(it)).unwrap_or(text.len());
    &text[..end]
}

/// Names right after `path::`, one or, in braces, several.
fn names_after(text: &str) -> Vec<String> {
    let text = text.trim_start();
    if !text.starts_with('{') {
        return vec![leading_name(text).to_string()];
    }
    let mut res = Vec::new();
    let mut depth = 0;
    let mut start = 0;
    for (at, it) in text.char_indices() {
        match it {
            '{' => {
                depth += 1;
                if depth == 1 {
                    start = at + 1;
                }
            }
            '}' | ',' => {
                if depth == 1 {
                    let name = leading_name(text[start..at].trim_start());
                    if !name.is_empty() {
                        res.push(name.to_string());
                    }
                    start = at + 1;
                }
                if it == '}' {
                    depth -= 1;
                    if depth == 0 {
                        break;
                    }
                }
            }
            _ => {}
        }
    }
    res
}

/// Names under the root of the crate that a source uses, with their lines.
fn used_from_root(source: &Source) -> Vec<(String, usize)> {
    let mut res = Vec::new();
    let code = &source.code;
    for start in ["crate::", "slabseason::"] {
        for (at, _) in code.match_indices(start) {
            if !code[..at].ends_with(is_name) {
                for name in names_after(&code[at + start.len()..]) {
                    res.push((name, line_at(code, at)));
                }
            }
        }
    }
    // `super` from the file's own module up to the root: as often as the module is deep.
    let parts = source.path.components().count();
    let is_mod = source.path.file_name().is_some_and(|it| it == "mod.rs");
    let depth = if is_mod { parts - 1 } else { parts };
    let climb = "super::".repeat(depth);
    for (at, _) in code.match_indices(&climb) {
        if !code[..at].ends_with(is_name) && !code[..at].ends_with("super::") {
            for name in names_after(&code[at + climb.len()..]) {
                res.push((name, line_at(code, at)));
            }
        }
    }
    res
}

fn place_in_order(folder: &str) -> Option<usize> {
    ORDER.iter().position(|it| *it == folder)
}

/// Source: the order of the folders on the developers' page.
#[test]
fn a_folder_uses_only_those_before_it() {
    let mut wrong = Vec::new();
    let mut uses = 0;
    for source in sources() {
        let Some(own) = place_in_order(&source.folder) else {
            wrong.push(format!(
                "src/{} is a folder without a place in the order",
                source.folder
            ));
            continue;
        };
        for (name, line) in used_from_root(&source) {
            uses += 1;
            let place = format!("src/{}, line {line}", source.path.display());
            match place_in_order(&name) {
                Some(other) if other <= own => {}
                Some(_) => wrong.push(format!("{place}: {} uses {name}", source.folder)),
                None if AT_THE_ROOT.contains(&name.as_str()) => {}
                None => wrong.push(format!("{place}: {name} is no folder")),
            }
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
    assert!(
        uses > 20,
        "only {uses} uses were seen; the reading is broken"
    );
}

/// The paths of a `use` or of an expression: `a::{b, c::d}` is `a::b` and `a::c::d`. Also how
/// many bytes they take.
fn paths_of(text: &str) -> (Vec<Vec<String>>, usize) {
    let blank = text.len() - text.trim_start().len();
    let rest = &text[blank..];
    if let Some(mut inner) = rest.strip_prefix('{') {
        let mut res = Vec::new();
        loop {
            inner = inner.trim_start();
            if inner.is_empty() || inner.starts_with('}') {
                break;
            }
            let (paths, taken) = paths_of(inner);
            res.extend(paths);
            // Behind a name may stand `as another`.
            let end = inner[taken..]
                .find([',', '}'])
                .map_or(inner.len(), |it| taken + it);
            inner = &inner[end..];
            inner = inner.strip_prefix(',').unwrap_or(inner);
        }
        return (
            res,
            text.len() - inner.len() + usize::from(inner.starts_with('}')),
        );
    }
    let name = if rest.starts_with('*') {
        "*"
    } else {
        leading_name(rest)
    };
    if name.is_empty() {
        return (Vec::new(), blank);
    }
    let behind = &rest[name.len()..];
    let more = behind.strip_prefix("::").filter(|it| {
        it.trim_start()
            .starts_with(|next: char| is_name(next) || next == '{' || next == '*')
    });
    let Some(more) = more else {
        return (vec![vec![name.to_string()]], blank + name.len());
    };
    let (mut paths, taken) = paths_of(more);
    for it in &mut paths {
        it.insert(0, name.to_string());
    }
    (paths, blank + name.len() + 2 + taken)
}

/// The sources of `src` as modules that use each other.
struct Modules {
    /// By their path: `["odds", "evidence"]`. The `mod.rs` of a folder stands for the folder.
    sources: BTreeMap<Vec<String>, Source>,
}

impl Modules {
    fn of_src() -> Self {
        let name_of = |it: &Source| {
            let mut parts: Vec<String> = it
                .path
                .with_extension("")
                .components()
                .map(|part| part.as_os_str().to_str().unwrap().to_string())
                .collect();
            if parts.last().is_some_and(|last| last == "mod") {
                parts.pop();
            }
            parts
        };
        Self {
            sources: sources().into_iter().map(|it| (name_of(&it), it)).collect(),
        }
    }

    fn is_face(&self, module: &[String]) -> bool {
        let source = self.sources.get(module);
        source.is_some_and(|it| it.path.file_name().is_some_and(|name| name == "mod.rs"))
    }

    /// The file that a path leads to from a module, through what the face of a folder hands on.
    /// None for what stands in a face itself.
    fn found(&self, from: &[String], path: &[String]) -> Option<Vec<String>> {
        let mut module = from.to_vec();
        let mut rest = path;
        while let Some((first, more)) = rest.split_first() {
            let mut deeper = module.clone();
            deeper.push(first.clone());
            if !self.sources.contains_key(&deeper) {
                break;
            }
            module = deeper;
            rest = more;
        }
        if !self.is_face(&module) {
            return self.sources.contains_key(&module).then_some(module);
        }
        let item = rest.first()?;
        let face = &self.sources[&module].code;
        for (at, _) in face.match_indices("use ") {
            for given in paths_of(&face[at + 4..]).0 {
                let mut child = module.clone();
                child.push(given[0].clone());
                if !self.sources.contains_key(&child) {
                    continue;
                }
                let last = given.last().unwrap();
                if last == item || last == "*" && self.defines(&child, item) {
                    let mut path = given.clone();
                    path.pop();
                    path.push(item.clone());
                    return self.found(&module, &path);
                }
            }
        }
        None
    }

    fn defines(&self, module: &[String], item: &str) -> bool {
        let code = &self.sources[module].code;
        ["fn", "struct", "enum", "trait", "type", "const", "static"]
            .iter()
            .any(|kind| {
                let start = format!("{kind} {item}");
                code.match_indices(&start)
                    .any(|(at, _)| !code[at + start.len()..].starts_with(is_name))
            })
    }

    /// The files that a file uses.
    fn used(&self, module: &[String]) -> Vec<Vec<String>> {
        let code = &self.sources[module].code;
        let mut res = Vec::new();
        let mut add = |from: &[String], text: &str| {
            for path in paths_of(text).0 {
                if let Some(it) = self.found(from, &path)
                    && it != module
                    && !res.contains(&it)
                {
                    res.push(it);
                }
            }
        };
        for (at, _) in code.match_indices("crate::") {
            if !code[..at].ends_with(is_name) {
                add(&[], &code[at + 7..]);
            }
        }
        for (at, _) in code.match_indices("super::") {
            if code[..at].ends_with("super::") || code[..at].ends_with(is_name) {
                continue;
            }
            let mut up = module.to_vec();
            let mut rest = &code[at..];
            while let Some(more) = rest.strip_prefix("super::") {
                up.pop();
                rest = more;
            }
            add(&up, rest);
        }
        res
    }
}

/// Circles that stand until their owners are through; at the end there is none.
const KNOWN_CIRCLES: &[(&str, &str)] = &[];

/// No two files use each other, by whatever way around. The `mod.rs` of a folder is its face,
/// which hands on what the files give, and is no file of its own here.
#[test]
fn no_files_use_each_other_in_a_circle() {
    let modules = Modules::of_src();
    let uses: BTreeMap<Vec<String>, Vec<Vec<String>>> = modules
        .sources
        .keys()
        .filter(|it| !modules.is_face(it))
        .map(|it| (it.clone(), modules.used(it)))
        .collect();
    let count: usize = uses.values().map(Vec::len).sum();
    assert!(
        count > 100,
        "only {count} uses were seen; the reading is broken"
    );
    let reaches = |from: &Vec<String>, to: &Vec<String>| {
        let mut seen = vec![from];
        let mut next = vec![from];
        while let Some(it) = next.pop() {
            for used in uses.get(it).into_iter().flatten() {
                if used == to {
                    return true;
                }
                if !seen.contains(&used) {
                    seen.push(used);
                    next.push(used);
                }
            }
        }
        false
    };
    let mut circles = Vec::new();
    for (file, used) in &uses {
        for other in used {
            let pair = (file.join("/"), other.join("/"));
            let is_known = KNOWN_CIRCLES
                .iter()
                .any(|it| pair == (it.0.to_string(), it.1.to_string()));
            if !is_known && reaches(other, file) {
                circles.push(format!(
                    "src/{}.rs uses src/{}.rs and comes back",
                    pair.0, pair.1
                ));
            }
        }
    }
    assert!(circles.is_empty(), "{}", circles.join("\n"));
}

/// Source: by hand. Paths of a `use` are taken apart, and a name is followed through the face of
/// its folder.
#[test]
fn the_reader_of_uses_follows_names() {
    let (paths, taken) = paths_of("a::{b, c::{d as x, *}, self}; rest");
    let told: Vec<String> = paths.iter().map(|it| it.join("::")).collect();
    assert_eq!(told, ["a::b", "a::c::d", "a::c::*", "a::self"]);
    assert_eq!(taken, "a::{b, c::{d as x, *}, self}".len());
    let made = |path: &str, code: &str| Source {
        folder: "odds".into(),
        path: PathBuf::from(path),
        code: code.to_string(),
    };
    let name = |it: &str| it.split('/').map(String::from).collect::<Vec<_>>();
    let modules = Modules {
        sources: BTreeMap::from([
            (
                name("odds"),
                made("odds/mod.rs", "pub use one::Kept; pub use two::*;"),
            ),
            (
                name("odds/one"),
                made("odds/one.rs", "use super::Other; pub struct Kept;"),
            ),
            (
                name("odds/two"),
                made("odds/two.rs", "use crate::odds::{Kept}; pub struct Other;"),
            ),
        ]),
    };
    assert_eq!(modules.used(&name("odds/one")), [name("odds/two")]);
    assert_eq!(modules.used(&name("odds/two")), [name("odds/one")]);
}

/// The root of the crate declares the folders in their order and gives no second way in.
#[test]
fn the_root_declares_the_folders_in_order() {
    let text = std::fs::read_to_string(root().join("src/lib.rs")).unwrap();
    let code = without_tests(&without_comments_and_strings(&text));
    assert!(
        !code.contains("pub use"),
        "src/lib.rs gives a name away from its folder"
    );
    let declared: Vec<usize> = code
        .match_indices("mod ")
        .map(|(at, _)| {
            let name = leading_name(&code[at + 4..]);
            place_in_order(name).unwrap_or_else(|| panic!("src/lib.rs declares {name}"))
        })
        .collect();
    assert!(!declared.is_empty());
    assert!(
        declared.is_sorted(),
        "src/lib.rs declares the folders out of order: {declared:?}"
    );
}

/// Source: no input or output, clock, thread or chance up to `lessons`; these are for the doors.
#[test]
fn results_depend_on_nothing_outside() {
    let last = place_in_order("lessons").unwrap();
    let mut wrong = Vec::new();
    for source in sources() {
        if place_in_order(&source.folder).is_none_or(|it| it > last) {
            continue;
        }
        for word in OUTSIDE {
            for (at, _) in source.code.match_indices(word) {
                let after = &source.code[at + word.len()..];
                let inside_a_name = source.code[..at].ends_with(is_name)
                    || word.ends_with(is_name) && after.starts_with(is_name);
                if !inside_a_name {
                    wrong.push(format!(
                        "src/{}, line {}: {word}",
                        source.path.display(),
                        line_at(&source.code, at)
                    ));
                }
            }
        }
        // `use std::{fs, io}` is another way to write the same.
        for (at, _) in source.code.match_indices("std::{") {
            for name in names_after(&source.code[at + "std::".len()..]) {
                if OUTSIDE.contains(&format!("std::{name}").as_str()) {
                    wrong.push(format!(
                        "src/{}, line {}: std::{name}",
                        source.path.display(),
                        line_at(&source.code, at)
                    ));
                }
            }
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

/// Source: the same bytes on every machine; `libm` is compiled in, the platform's functions
/// are not. `sqrt`, `abs`, `floor`, `min` and `max` are exact everywhere.
#[test]
fn the_core_takes_its_functions_from_libm() {
    let last = place_in_order("words").unwrap();
    let mut wrong = Vec::new();
    for source in sources() {
        if place_in_order(&source.folder).is_none_or(|it| it > last) {
            continue;
        }
        for name in PLATFORM_MATH {
            for way in [format!(".{name}("), format!("f64::{name}")] {
                for (at, _) in source.code.match_indices(&way) {
                    if source.code[at + way.len()..].starts_with(is_name) {
                        continue;
                    }
                    wrong.push(format!(
                        "src/{}, line {}: {way}",
                        source.path.display(),
                        line_at(&source.code, at)
                    ));
                }
            }
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

/// Source: the published checks of `season` are checks of what ships: each function and type
/// that they call is used outside of `season`, or by the forcing that `odds` makes from it.
#[test]
fn published_checks_reach_what_ships() {
    let text = std::fs::read_to_string(root().join("tests/published/season.rs")).unwrap();
    let start = text.find("use slabseason::season::").unwrap() + "use slabseason::season::".len();
    let checked = names_after(&text[start..]);
    assert!(checked.len() > 12, "only {checked:?} were seen");
    let shipped: Vec<Source> = sources()
        .into_iter()
        .filter(|it| it.folder != "season" || it.path.ends_with("forcing.rs"))
        .collect();
    // The balance of one soil is the balance of many with one lane; what makes a month's
    // weather ships inside of it.
    let by_another_name = [
        ("hamon_evapotranspiration", "MonthWeather"),
        ("rain_share", "MonthWeather"),
        ("thaw_k_days", "MonthWeather"),
        ("frost_kept", "MonthWeather"),
        ("Balance", "Balances"),
        ("saturation_pressure", "saturation_pa"),
        ("dew_point", "dew_point_c"),
    ];
    for name in &checked {
        let other = by_another_name.iter().find(|it| it.0 == name);
        let wanted = other.map_or(name.as_str(), |it| it.1);
        let is_used = shipped.iter().any(|source| {
            source.code.match_indices(wanted).any(|(at, _)| {
                !source.code[..at].ends_with(is_name) && leading_name(&source.code[at..]) == wanted
            })
        });
        assert!(
            is_used,
            "{wanted} is checked against a book and never shipped"
        );
    }
}

/// Source: `.ci/changes` changes a number of a formula and expects that a published check fails
/// and that a report changes. Here: each number still stands where it is looked for, once, each
/// check is a test, and no file of published checks is without a change.
#[test]
fn changes_that_published_checks_must_catch_still_fit() {
    #[derive(serde::Deserialize)]
    struct Change {
        file: String,
        is: String,
        becomes: String,
        check: String,
    }
    let text = std::fs::read_to_string(root().join("tests/published/changed_constants.csv"));
    let changes: Vec<Change> = slabseason::units::table_rows(&text.unwrap()).unwrap();
    let mut checked = BTreeSet::new();
    for it in &changes {
        let code = std::fs::read_to_string(root().join(&it.file)).unwrap();
        assert_eq!(code.matches(&it.is).count(), 1, "{}: {}", it.file, it.is);
        assert_ne!(it.is, it.becomes);
        let (file, name) = it.check.split_once("::").unwrap();
        let path = root().join(format!("tests/published/{file}.rs"));
        let tests = std::fs::read_to_string(path).unwrap();
        assert!(
            tests.contains(&format!("#[test]\nfn {name}()")),
            "{}",
            it.check
        );
        checked.insert(file.to_string());
    }
    let main = std::fs::read_to_string(root().join("tests/published/main.rs")).unwrap();
    for name in names_after_mod(&main) {
        let path = root().join(format!("tests/published/{name}.rs"));
        let has_tests = std::fs::read_to_string(path).is_ok_and(|it| it.contains("#[test]"));
        assert!(
            !has_tests || checked.contains(&name),
            "no change is tried on the checks in {name}.rs"
        );
    }
}

/// Source: `tests/suite.rs` is the one program of tests; a file that it does not name is never
/// compiled.
#[test]
fn every_file_of_tests_is_in_the_suite() {
    let suite = std::fs::read_to_string(root().join("tests/suite.rs")).unwrap();
    let named = names_after_mod(&suite);
    for it in std::fs::read_dir(root().join("tests")).unwrap() {
        let path = it.unwrap().path();
        let name = path.file_stem().unwrap().to_string_lossy().into_owned();
        let is_test = path.extension().is_some_and(|it| it == "rs") && name != "suite";
        assert!(!is_test || named.contains(&name), "tests/{name}.rs");
    }
}

/// Names that `mod` declares at the start of a line.
fn names_after_mod(text: &str) -> Vec<String> {
    text.lines()
        .filter_map(|it| it.strip_prefix("mod ")?.strip_suffix(';'))
        .map(str::to_string)
        .collect()
}

/// Source: each formula has one home. The constants of saturation pressure and of water vapor
/// stand in one file each.
#[test]
fn a_formula_has_one_home() {
    for constant in ["17.269", "237.3", "610.5", "461.5", "13.97"] {
        let homes: Vec<PathBuf> = sources()
            .into_iter()
            .filter(|it| it.code.contains(constant))
            .map(|it| it.path)
            .collect();
        assert_eq!(homes.len(), 1, "{constant} stands in {homes:?}");
    }
}

/// Source: test builds switch on features of `num-traits` that the binary lacks, and `statrs`
/// then takes its exponentials from the platform. Only intervals of counts, which are printed in
/// whole numbers of a hundred, may come from it.
#[test]
fn chances_of_floors_come_from_libm_in_tests_as_in_the_binary() {
    for source in sources() {
        let names_it = source.code.contains("statrs") || source.code.contains("num_traits::Float");
        assert!(
            !names_it || ["batch", "ledger"].contains(&source.folder.as_str()),
            "src/{} takes chances from statrs",
            source.path.display()
        );
    }
}

#[test]
fn the_top_holds_only_what_is_agreed() {
    let mut wrong = Vec::new();
    for entry in std::fs::read_dir(root()).unwrap() {
        let name = entry.unwrap().file_name().to_string_lossy().into_owned();
        // What the build and the browser tools make is not kept.
        let is_made = name == "target" || name == ".wasm";
        if !is_made && !TOP.contains(&name.as_str()) {
            wrong.push(name);
        }
    }
    assert!(
        wrong.is_empty(),
        "not agreed at the top: {}",
        wrong.join(", ")
    );
}

#[test]
fn every_folder_says_what_it_gives() {
    let mut first_lines: BTreeMap<String, String> = BTreeMap::new();
    for file in files_under(&root().join("src")) {
        if file.file_name().is_some_and(|it| it == "mod.rs") {
            let text = std::fs::read_to_string(&file).unwrap();
            first_lines.insert(
                file.display().to_string(),
                text.lines().next().unwrap_or_default().to_string(),
            );
        }
    }
    assert!(first_lines.len() >= 6);
    for (file, line) in first_lines {
        assert!(
            line.starts_with("//! ") && line.trim_end().len() > 20,
            "{file} opens with \"{line}\""
        );
    }
}

/// Source: by hand. The reader of sources sees what it should and nothing in comments,
/// strings and tests.
#[test]
fn the_reader_of_sources_sees_code_only() {
    let text = r##"
//! crate::web in a comment
use crate::{climate::{Place, find_place}, season};
const A: &str = "crate::cli \" std::fs"; const B: char = '"'; const C: &str = r#"crate::web "x" "#;
fn f<'a>(it: &'a str) { super::super::units::g(it); let c = '\''; slabseason::slab::h() }
/* crate::web /* nested */ crate::web */
#[cfg(test)]
mod tests { use crate::web::W; fn g() { 1.0_f64.exp(); } }
fn last() { 2.0_f64.ln(); }
"##;
    let source = Source {
        folder: "odds".into(),
        path: PathBuf::from("odds/made.rs"),
        code: without_tests(&without_comments_and_strings(text)),
    };
    let names: Vec<String> = used_from_root(&source).into_iter().map(|it| it.0).collect();
    assert_eq!(names, ["climate", "season", "slab", "units"]);
    assert!(!source.code.contains("std::fs") && !source.code.contains(".exp("));
    assert!(source.code.contains("2.0_f64.ln()"));
    assert_eq!(
        line_at(&source.code, source.code.find("fn last").unwrap()),
        9
    );
}
