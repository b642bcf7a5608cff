//! Showing how far a computation is, and stopping it with Ctrl-C.

use crate::{desk::Progress, stop::Stop};
use indicatif::{ProgressBar, ProgressDrawTarget, ProgressStyle};
use std::{
    borrow::Cow,
    sync::Arc,
    thread,
    time::{Duration, Instant},
};

/// Work shorter than this is done before anybody wonders.
const QUIET: Duration = Duration::from_millis(500);
/// How often the bar moves, and the longest that Ctrl-C waits to be noticed here.
const BEAT: Duration = Duration::from_millis(50);
/// Steps of the bar.
const STEPS: u64 = 1000;

/// Runs `job` with a bar on standard error, if that is a terminal. Ctrl-C asks it to stop; a second one ends the
/// program on the spot.
///
/// # Errors
/// [`Stop::Interrupted`] when the job gave up because of Ctrl-C; an unexpected error when it broke.
pub fn shown<T: Send + 'static>(
    words: &'static str,
    job: impl FnOnce(&Progress) -> Option<T> + Send + 'static,
) -> Result<T, Stop> {
    let progress = Arc::new(Progress::default());
    stop_on_ctrl_c(progress.clone());
    let theirs = progress.clone();
    let worker = thread::spawn(move || job(&theirs));
    let begun = Instant::now();
    let mut bar: Option<ProgressBar> = None;
    while !worker.is_finished() {
        thread::sleep(BEAT.min(Duration::from_millis(5) + begun.elapsed() / 10));
        if begun.elapsed() > QUIET {
            let bar = bar.get_or_insert_with(|| new_bar(words));
            bar.set_position((progress.share() * STEPS as f64) as u64);
        }
    }
    if let Some(bar) = bar {
        bar.finish_and_clear();
    }
    match worker.join() {
        Ok(Some(found)) => Ok(found),
        Ok(None) => Err(Stop::Interrupted),
        Err(_) => Err(Stop::Unexpected(anyhow::anyhow!(sheets::words::COMPUTATION_BROKE))),
    }
}

/// Runs `job`, which tells its own share, with the same bar.
pub fn watched<T>(words: String, job: impl FnOnce(&mut dyn FnMut(Option<f64>)) -> T) -> T {
    let begun = Instant::now();
    let mut bar: Option<ProgressBar> = None;
    let found = job(&mut |share| {
        if begun.elapsed() > QUIET {
            let bar = bar.get_or_insert_with(|| new_bar(words.clone()));
            bar.set_position((share.unwrap_or(0.0) * STEPS as f64) as u64);
        }
    });
    if let Some(bar) = bar {
        bar.finish_and_clear();
    }
    found
}

fn new_bar(words: impl Into<Cow<'static, str>>) -> ProgressBar {
    let bar = ProgressBar::with_draw_target(Some(STEPS), ProgressDrawTarget::stderr());
    let style = ProgressStyle::with_template("{msg} [{bar:30}] {percent} %");
    if let Ok(style) = style {
        bar.set_style(style.progress_chars("=> "));
    }
    bar.set_message(words);
    bar
}

/// Waits for Ctrl-C on a thread of its own for as long as the program runs.
fn stop_on_ctrl_c(progress: Arc<Progress>) {
    thread::spawn(move || {
        let Ok(runtime) = tokio::runtime::Builder::new_current_thread().enable_all().build() else { return };
        runtime.block_on(async {
            if tokio::signal::ctrl_c().await.is_ok() {
                progress.stop();
                if tokio::signal::ctrl_c().await.is_ok() {
                    std::process::exit(i32::from(Stop::Interrupted.code()));
                }
            }
        });
    });
}
