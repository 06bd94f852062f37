//! Imports run one way: no arrow runs back, and no files import each other in a circle.

#![expect(
    clippy::unwrap_used,
    clippy::indexing_slicing,
    clippy::panic,
    reason = "a test may stop at whatever is wrong"
)]

use crate::files::rust_files;
use std::collections::{BTreeMap, BTreeSet};
use std::path::{Path, PathBuf};

/// The rooms of the core, from what all of it builds on to what nothing of it imports.
const CORE: &[&[&str]] = &[
    &["closed_list", "refusal", "glossary", "interrupt", "linear"],
    &["units", "dates", "work", "cautions"],
    &["formulas"],
    &["figures"],
    &["assumptions", "areas"],
    &["applications", "containers", "draws", "feeds", "harvests", "brews"],
    &["beds"],
    &["balances"],
    &["seasons"],
    &["calibrations"],
];

/// The parts of the front, likewise.
const FRONT: &[&[&str]] = &[
    &["limits", "connections"],
    &["wire"],
    &["settings"],
    &["query", "negotiate", "monitor", "etag"],
    &["input", "output"],
    &["problem"],
    &["in_flight"],
    &["chunks"],
    &["body", "present"],
    &["resources"],
    &["health", "document", "docs", "page"],
    &["server"],
];

/// What each imports, by name.
type Graph = BTreeMap<String, BTreeSet<String>>;

/// Every file of `src` by the path of its module, without comments and tests.
pub fn files() -> BTreeMap<String, String> {
    let files = rust_files("src").into_iter();
    let files = files.filter(|(path, _)| path.with_extension("").iter().all(|step| step != "tests"));
    let by_module = |(path, text): (PathBuf, String)| {
        let below = path.with_extension("");
        let mut steps: Vec<&str> = below.iter().map(|step| step.to_str().unwrap()).collect();
        if matches!(steps.last(), Some(&("mod" | "lib" | "main"))) {
            steps.pop();
        }
        (steps.join("::"), code(&text))
    };
    files.map(by_module).collect()
}

/// The lines before the tests of a file, without comments.
fn code(text: &str) -> String {
    let text = text.split("#[cfg(test)]\nmod tests {").next().unwrap();
    text.lines().map(|line| line.split("//").next().unwrap()).collect::<Vec<_>>().join("\n")
}

/// A path as the code has it, `crate::a::{b, c::d}` taken apart.
fn paths(code: &str) -> Vec<String> {
    let is_word = |letter: char| letter.is_alphanumeric() || letter == '_';
    let mut found = Vec::new();
    for head in ["crate", "super", "self"] {
        for (at, _) in code.match_indices(head) {
            let alone = !code[..at].ends_with(|letter| is_word(letter) || matches!(letter, ':' | '$'));
            if alone && code[at + head.len()..].starts_with("::") {
                tree(&code[at..], "", &mut found);
            }
        }
    }
    found
}

/// Reads one path with its branches; gives what follows it.
fn tree<'c>(code: &'c str, before: &str, found: &mut Vec<String>) -> &'c str {
    let end =
        code.find(|letter: char| !(letter.is_alphanumeric() || matches!(letter, '_' | ':'))).unwrap_or(code.len());
    let path = format!("{before}{}", &code[..end]);
    let Some(mut rest) = code[end..].strip_prefix('{').filter(|_| path.ends_with("::")) else {
        found.push(path.trim_end_matches("::").to_owned());
        return &code[end..];
    };
    while !rest.trim_start().starts_with('}') {
        rest = tree(rest.trim_start(), &path, found);
        rest = &rest[rest.find([',', '}']).unwrap()..];
        rest = rest.strip_prefix(',').unwrap_or(rest);
    }
    rest.trim_start().strip_prefix('}').unwrap()
}

/// The file that a path named in the file `here` leads to.
fn target(path: &str, here: &str, files: &BTreeMap<String, String>) -> String {
    let mut at: Vec<&str> = here.split("::").filter(|step| !step.is_empty()).collect();
    for step in path.split("::") {
        match step {
            "crate" => at.clear(),
            "self" => {}
            "super" => drop(at.pop()),
            name => at.push(name),
        }
    }
    while !at.is_empty() && !files.contains_key(&at.join("::")) {
        at.pop();
    }
    at.join("::")
}

/// Which file imports which. A file and those below it in its folder are one room: what a child takes from its parent is no import.
fn imports() -> Graph {
    let files = files();
    let of = |(here, code): (&String, &String)| {
        let all = paths(code).into_iter().map(|path| target(&path, here, &files));
        (here.clone(), all.filter(|there| !there.is_empty() && there != here).collect())
    };
    files.iter().map(of).collect()
}

/// The room of a file: `garden::beds`, `http::wire`, `http::resources::brews`; only the first two steps if `first` is asked for.
fn room(file: &str, first: bool) -> String {
    let depth = if file.starts_with("http::resources::") && !first { 3 } else { 2 };
    file.split("::").take(depth).collect::<Vec<_>>().join("::")
}

/// Which room imports which. What is above a room, as `http`, is none.
fn rooms(files: &Graph, first: bool) -> Graph {
    let mut graph = Graph::new();
    for (here, all) in files {
        let here = room(here, first);
        let is_other = |there: &String| {
            !format!("{there}::").starts_with(&format!("{here}::"))
                && !format!("{here}::").starts_with(&format!("{there}::"))
        };
        let others = all.iter().map(|there| room(there, first)).filter(is_other).collect::<Vec<_>>();
        graph.entry(here).or_default().extend(others);
    }
    graph
}

/// Everything that can be reached by following imports.
fn reached<'g>(graph: &'g Graph, from: &str) -> BTreeSet<&'g str> {
    let (mut seen, mut left) = (BTreeSet::new(), vec![from]);
    while let Some(next) = left.pop() {
        for there in graph.get(next).into_iter().flatten() {
            if seen.insert(there.as_str()) {
                left.push(there);
            }
        }
    }
    seen
}

/// The circles: names that reach each other.
fn circles(graph: &Graph) -> BTreeSet<Vec<&str>> {
    let all: BTreeMap<&str, BTreeSet<&str>> = graph.keys().map(|name| (name.as_str(), reached(graph, name))).collect();
    let with = |name: &str| -> Vec<&str> {
        let mutual = all[name].iter().filter(|other| all.get(*other).is_some_and(|back| back.contains(name)));
        mutual.copied().collect()
    };
    all.keys().map(|name| with(name)).filter(|circle| !circle.is_empty()).collect()
}

fn level(order: &[&[&str]], part: &str) -> usize {
    let found = order.iter().position(|parts| parts.contains(&part));
    found.unwrap_or_else(|| panic!("{part} has no place in the order of this test"))
}

#[test]
fn no_arrow_runs_back() {
    let rooms = rooms(&imports(), false);
    let mut back = BTreeSet::new();
    for (here, there) in
        rooms.iter().flat_map(|(here, all)| all.iter().map(move |there| (here.as_str(), there.as_str())))
    {
        let parts = |name: &str| name.split("::").nth(1).map(str::to_owned);
        let (floor, other) = (here.split("::").next(), there.split("::").next());
        assert!(floor != Some("garden") || other == Some("garden"), "{here} imports {there}");
        let order = if floor == Some("garden") { CORE } else { FRONT };
        if let (true, Some(one), Some(two)) = (floor == other && floor != Some("ask"), parts(here), parts(there))
            && level(order, &one) < level(order, &two)
        {
            back.insert((here, there));
        }
    }
    assert!(back.is_empty(), "arrows that run back: {back:?}");
}

#[test]
fn no_rooms_import_each_other() {
    let files = imports();
    let (first, all) = (rooms(&files, true), rooms(&files, false));
    assert_eq!(&circles(&first) | &circles(&all), BTreeSet::new());
}

#[test]
fn no_files_import_each_other() {
    let files = imports();
    assert!(files.len() > 200 && files.values().map(BTreeSet::len).sum::<usize>() > 600);
    assert_eq!(circles(&files), BTreeSet::new());
}

#[test]
fn the_map_of_the_library_is_that_order() {
    let lib = std::fs::read_to_string(Path::new(env!("CARGO_MANIFEST_DIR")).join("src/lib.rs")).unwrap();
    let map: String = lib.split("```").nth(1).unwrap().lines().map(|line| line.trim_start_matches("//!")).collect();
    // What is in brackets explains.
    let plain: String = map.split('(').map(|part| part.split_once(')').map_or(part, |(_, after)| after)).collect();
    let floor = |from: &str, to: &str| -> Vec<BTreeSet<String>> {
        let text = plain.split_once(from).unwrap().1.split_once(to).unwrap().0;
        let words = |level: &str| level.split([',', ' ']).filter(|word| !word.is_empty()).map(str::to_owned).collect();
        text.split("<-").map(words).collect()
    };
    let order = |levels: &[&[&str]]| -> Vec<BTreeSet<String>> {
        levels.iter().map(|level| level.iter().map(|part| (*part).to_owned()).collect()).collect()
    };
    assert_eq!(floor("garden ", "http "), order(CORE));
    assert_eq!(floor("http ", "ask "), order(FRONT));
}

#[test]
fn a_path_is_taken_apart() {
    let code =
        "use crate::a::{self, b, c::{D, e as f}};\nlet x = super::g::h(self::i, mysuper::j, $crate::k);\nuse crate::l;";
    let known =
        ["crate::a::self", "crate::a::b", "crate::a::c::D", "crate::a::c::e", "crate::l", "super::g::h", "self::i"];
    assert_eq!(paths(code), known);
}
