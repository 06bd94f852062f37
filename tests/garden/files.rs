//! The Rust files of the repository, for tests that read code.

#![expect(clippy::unwrap_used, reason = "a test may stop at whatever is wrong")]

use std::path::{Path, PathBuf};

/// Every Rust file below a folder of the repository, by its path below that folder, with its text.
pub fn rust_files(folder: &str) -> Vec<(PathBuf, String)> {
    let root = Path::new(env!("CARGO_MANIFEST_DIR")).join(folder);
    let (mut folders, mut files) = (vec![root.clone()], Vec::new());
    while let Some(folder) = folders.pop() {
        for path in std::fs::read_dir(folder).unwrap().map(|entry| entry.unwrap().path()) {
            if path.is_dir() {
                folders.push(path);
            } else if path.extension().is_some_and(|end| end == "rs") {
                let text = std::fs::read_to_string(&path).unwrap();
                files.push((path.strip_prefix(&root).unwrap().to_owned(), text));
            }
        }
    }
    files.sort();
    files
}
