//! `tickover` alone: the bench page.

use crate::{
    bench::{self, Bench, Home},
    cli::Serve,
    place,
    stop::Stop,
    words,
};
use anyhow::{Context, anyhow};
use jobbook::{Book, Opened};
use std::{
    io::{self, Write},
    net::{Ipv4Addr, TcpListener},
};

/// Port where none is asked for: the same each time, so that a bookmark works.
const USUAL_PORT: u16 = 7878;

/// Opens the book, listens, says where, and serves until Ctrl-C.
///
/// # Errors
/// A book that cannot be opened, a port that cannot be had.
pub fn serve(asked: &Serve) -> Result<(), Stop> {
    let path = match &asked.book {
        Some(path) => path.clone(),
        None => place::default_book()?,
    };
    let (mut book, opened) = Book::open(&path).map_err(|e| anyhow!(words::book_error(&e)))?;
    if let Opened::BroughtForward { backup, .. } = &opened {
        anstream::eprintln!("{}", words::brought_forward(backup));
    }
    bench::add_demos(&mut book).map_err(|e| anyhow!(words::book_error(&e)))?;

    let listener = listen(asked.port)?;
    let address = Home::at(listener.local_addr()?.port()).address();
    let mut out = anstream::stdout();
    writeln!(out, "{address}\n{}", words::serving(&path))?;
    out.flush()?;
    if !asked.no_browser {
        place::open_browser(&address);
    }
    let runtime = tokio::runtime::Builder::new_multi_thread().worker_threads(2).enable_all().build()?;
    runtime.block_on(bench::serve(listener, Bench::new(book), async {
        // Without a handler for Ctrl-C the system's own ends the program, which harms nothing.
        let _ = tokio::signal::ctrl_c().await;
    }))?;
    // What is still being worked out is not waited for.
    runtime.shutdown_background();
    Err(Stop::Interrupted)
}

fn listen(asked: Option<u16>) -> anyhow::Result<TcpListener> {
    let at = |port| TcpListener::bind((Ipv4Addr::LOCALHOST, port));
    match asked {
        Some(port) => at(port).with_context(|| format!("cannot listen on 127.0.0.1:{port}")),
        None => at(USUAL_PORT)
            .or_else(|e| if e.kind() == io::ErrorKind::AddrInUse { at(0) } else { Err(e) })
            .context("cannot listen on 127.0.0.1"),
    }
}
