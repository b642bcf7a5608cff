//! `tickover` alone: the bench page.

use crate::{
    bench::{self, Bench, home, pair},
    cli::Serve,
    place,
    stop::Stop,
};
use anyhow::{Context, anyhow};
use jobbook::{Book, Opened};
use sheets::words;
use std::{
    io::{self, IsTerminal, Write},
    net::{Ipv4Addr, SocketAddr, TcpListener},
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
    let own = asked.own.as_deref().map(super::fault::of_own).transpose()?;
    let parts = asked.kinds.as_deref().map(|path| super::matching::of_own(path, super::columns(None))).transpose()?;
    let (mut book, opened) = Book::open(&path).map_err(|e| anyhow!(words::book_error(&e)))?;
    if let Opened::BroughtForward { backup, .. } = &opened {
        anstream::eprintln!("{}", words::brought_forward(backup));
    }
    let doubtful = book.was_left_open();
    bench::add_demos(&mut book).map_err(|e| anyhow!(words::book_error(&e)))?;

    let listener = listen(asked)?;
    let port = listener.local_addr()?.port();
    let address = home(port);
    let lan = if asked.lan { pair::addresses(port) } else { Vec::new() };
    let bench = Bench::new(book, lan.clone());
    if let Some(faults) = own {
        bench.count_with(faults);
    }
    if let Some(parts) = parts {
        bench.look_with(parts);
    }
    if doubtful {
        bench.look_through(path.clone());
    }
    let mut out = anstream::stdout();
    writeln!(out, "{address}\n{}", words::serving(&path, asked.lan))?;
    if asked.lan {
        invite(&mut out, &lan, &bench.invite())?;
    }
    out.flush()?;
    if !asked.no_browser {
        place::open_browser(&address);
    }
    let runtime = tokio::runtime::Builder::new_multi_thread().worker_threads(2).enable_all().build()?;
    runtime.block_on(bench::serve(listener, bench, async {
        // Without a handler for Ctrl-C the system's own ends the program, which harms nothing.
        let _ = tokio::signal::ctrl_c().await;
    }))?;
    // What is still being worked out is not waited for.
    runtime.shutdown_background();
    Err(Stop::Interrupted)
}

fn listen(asked: &Serve) -> anyhow::Result<TcpListener> {
    let ip = if asked.lan { Ipv4Addr::UNSPECIFIED } else { Ipv4Addr::LOCALHOST };
    let at = |port| TcpListener::bind((ip, port));
    match asked.port {
        Some(port) => at(port).with_context(|| words::cannot_listen(&format!("{ip}:{port}"))),
        None => at(USUAL_PORT)
            .or_else(|e| if e.kind() == io::ErrorKind::AddrInUse { at(0) } else { Err(e) })
            .with_context(|| words::cannot_listen(&ip.to_string())),
    }
}

/// Says how a device of the network comes in.
fn invite(out: &mut impl Write, lan: &[SocketAddr], code: &str) -> anyhow::Result<()> {
    writeln!(out, "\n{}", words::lan_code(code, !lan.is_empty()))?;
    for at in lan {
        let address = pair::address_with(*at, code);
        writeln!(out, "\n{address}")?;
        if io::stdout().is_terminal() {
            write!(out, "{}", sheets::qr::terminal(&address)?)?;
        }
    }
    Ok(())
}
