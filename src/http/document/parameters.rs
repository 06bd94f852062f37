//! The parameters of questions: what differs from question to question.

use crate::http::output::enums::word_schema;
use crate::http::present::options;
use crate::http::resources::{Question, link};
use utoipa::openapi::path::{Parameter, ParameterBuilder, PathItem};
use utoipa::openapi::{OpenApi, RefOr};

/// Gives the GET of a question its worked request, its forms, and the choice of tables that its POST has; the tables and the
/// forms are closed lists.
pub fn complete<Q: Question>(api: &mut OpenApi) {
    let item = api.paths.paths.get_mut(&format!("/v1/{}", Q::NAME));
    let Some(PathItem { get: Some(get), post: Some(post), .. }) = item else { return };
    for parameter in post.parameters.iter_mut().flatten() {
        change(parameter, "table", |built| built.schema(Some(word_schema(Q::TABLES.iter().copied()))));
    }
    let is_table = |one: &&RefOr<Parameter>| matches!(one, RefOr::T(one) if one.name == "table");
    let choice = post.parameters.iter().flatten().find(is_table).cloned();
    let parameters = get.parameters.get_or_insert_default();
    parameters.extend(choice);
    for parameter in parameters.iter_mut() {
        let forms = word_schema(Q::MEDIA.iter().map(|media| media.as_str()));
        change(parameter, "as", |built| built.schema(Some(forms)));
        change(parameter, "request", |built| built.example(Some(link::encoded(&Q::EXAMPLE).into())));
    }
    for parameter in parameters.iter_mut().chain(post.parameters.iter_mut().flatten()) {
        for (name, words) in options::closed() {
            change(parameter, name, |built| built.schema(Some(words)));
        }
    }
}

/// Changes the parameter of this name.
pub fn change(parameter: &mut RefOr<Parameter>, name: &str, change: impl FnOnce(ParameterBuilder) -> ParameterBuilder) {
    if let RefOr::T(parameter) = parameter
        && parameter.name == name
    {
        *parameter = change(ParameterBuilder::from(parameter.clone())).build();
    }
}
