//! Which paths there are, and what is answered where no route is.

use crate::http::page;
use crate::http::problem::{Kind, Problem};
use crate::http::wire::nearest;
use actix_web::http::{Method, header};
use actix_web::{HttpRequest, HttpResponse, web};
use std::collections::HashMap;
use std::sync::Arc;

/// The committed list of operations: tag, operation, method and path on each line. A test compares it with the document.
const OPERATIONS: &str = include_str!("../../../openapi/operations.txt");

/// Every path of the document with its methods, for 404, 405, OPTIONS and for what is noted of requests.
#[derive(Debug, Clone)]
pub struct Paths(Arc<Known>);

#[derive(Debug)]
struct Known {
    all: Vec<(&'static str, Vec<&'static str>)>,
    /// Those without a part that varies, by their place in `all`.
    plain: HashMap<&'static str, usize>,
}

impl Paths {
    /// Those of the committed list, and those of the page for growers.
    pub fn committed() -> Self {
        let mut all: Vec<(&str, Vec<&str>)> = Vec::new();
        for line in OPERATIONS.lines() {
            let mut words = line.split_whitespace().skip(2);
            let (Some(method), Some(path)) = (words.next(), words.next()) else { continue };
            let methods = if method == "GET" { vec!["GET", "HEAD"] } else { vec![method] };
            match all.iter_mut().find(|(other, _)| *other == path) {
                Some((_, known)) => known.extend(methods),
                None => all.push((path, methods)),
            }
        }
        all.extend(page::PATHS.map(|path| (path, vec!["GET", "HEAD"])));
        all.iter_mut().for_each(|(_, methods)| methods.push("OPTIONS"));
        let plain = all.iter().enumerate().map(|(at, (path, _))| (*path, at)).collect();
        Self(Arc::new(Known { all, plain }))
    }

    fn find(&self, path: &str) -> Option<&(&'static str, Vec<&'static str>)> {
        let paths = &self.0;
        if let Some(at) = paths.plain.get(path) {
            return paths.all.get(*at);
        }
        let matches = |pattern: &str| {
            let (mut a, mut b) = (pattern.split('/'), path.split('/'));
            loop {
                match (a.next(), b.next()) {
                    (None, None) => return true,
                    (Some(one), Some(other)) if one == other || (one.starts_with('{') && !other.is_empty()) => {}
                    _ => return false,
                }
            }
        };
        paths.all.iter().find(|(pattern, _)| pattern.contains('{') && matches(pattern))
    }

    /// The template of a path, by which requests are noted: few words, whatever callers send.
    pub fn template(&self, path: &str) -> &'static str {
        match self.find(path) {
            Some((template, _)) => template,
            None if path.starts_with("/docs") => "/docs",
            None => "unknown",
        }
    }
}

/// What no route took: 405 with `Allow`, 204 to OPTIONS, or 404 with the nearest path.
///
/// # Errors
/// 404 and 405.
pub async fn elsewhere(request: HttpRequest, paths: web::Data<Paths>) -> Result<HttpResponse, Problem> {
    if let Some((_, methods)) = paths.find(request.path()) {
        if request.method() == Method::OPTIONS {
            return Ok(HttpResponse::NoContent().insert_header((header::ALLOW, methods.join(", "))).finish());
        }
        let detail = format!("This address accepts {}.", methods.join(", "));
        return Err(Problem::new(Kind::MethodNotAllowed, detail).available(methods.iter().copied()));
    }
    let all: Vec<&str> = paths.0.all.iter().map(|(path, _)| *path).collect();
    let detail = match nearest(request.path(), &all) {
        Some(path) => format!("There is nothing at this address; did you mean {path}?"),
        None => "There is nothing at this address; /openapi.json lists all of them, /docs shows them.".to_owned(),
    };
    Err(Problem::new(Kind::NotFound, detail).available(all))
}
