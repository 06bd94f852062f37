//! Queries: parameters are read, or refused as such.

use barrowful::http::present::Options;
use barrowful::http::query::pairs;

/// Reads a query as that of a question with two tables.
pub fn queries(data: &[u8]) {
    let Ok(query) = std::str::from_utf8(data) else { return };
    let count = pairs(query).count();
    assert!(count <= query.len());
    if let Err(problem) = Options::read(query, &["work", "stock"]) {
        let problem = serde_json::to_value(problem).expect("a problem is written");
        assert_eq!(problem["status"], 422, "{problem}");
        let errors = problem["errors"].as_array().expect("errors are listed");
        assert!(!errors.is_empty() && errors.iter().all(|error| error["at"] == "query"), "{problem}");
    }
}
