//! What an answer about one machine needs to know of the question.

use super::{
    Bench, around,
    view::sheet::{Around, Light},
};
use axum::{
    extract::{FromRequestParts, Path, rejection::PathRejection},
    http::request::Parts,
};
use std::sync::Arc;

/// A question about one machine in the book.
pub(super) struct Asked {
    /// The page.
    pub bench: Arc<Bench>,
    /// The machine's place in addresses.
    pub slug: String,
    path: String,
    light: Light,
}

impl Asked {
    /// What stands round the page that answers.
    pub fn around(&self) -> Around<'_> {
        Around { path: &self.path, light: self.light }
    }

    /// The same for an answer that shows the card itself, whatever address was asked.
    pub fn card(&self) -> String {
        format!("/machine/{}", self.slug)
    }
}

impl FromRequestParts<Arc<Bench>> for Asked {
    type Rejection = PathRejection;

    async fn from_request_parts(parts: &mut Parts, bench: &Arc<Bench>) -> Result<Self, Self::Rejection> {
        let Path(slug) = Path::from_request_parts(parts, bench).await?;
        let Around { path, light } = around(&parts.uri, &parts.headers);
        Ok(Self { bench: bench.clone(), slug, path: path.to_owned(), light })
    }
}
