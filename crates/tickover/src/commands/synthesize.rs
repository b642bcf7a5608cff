//! `synthesize`: a recording of a machine file's engine.

use super::{columns, file, say};
use crate::{
    cli::{Input, MakeRun, Synthesize},
    exchange::recording::WavOut,
    input,
    stop::Stop,
    wire,
};
use anyhow::{Context, anyhow};
use sheets::words;
use std::{
    fs::OpenOptions,
    io::{BufWriter, Write},
};
use workshop::made::{Event, Faults, Maker, NotMade, Run, Wish};

/// rpm to rad/s.
const RPM: f64 = std::f64::consts::TAU / 60.0;

/// `tickover synthesize`.
///
/// # Errors
/// See [`Stop`].
pub fn synthesize(asked: &Synthesize) -> Result<(), Stop> {
    let (machine, _) = file::machine_of(&Input { file: asked.machine.clone() }, columns(None))?;
    let wish = Wish {
        rate_hz: f64::from(asked.samples),
        seconds: asked.seconds,
        run: match asked.run {
            MakeRun::Idle => Run::Idle,
            MakeRun::Sweep => Run::Sweep,
            MakeRun::Blip => Run::Blip,
            MakeRun::RunDown => Run::RunDown,
            MakeRun::Steady => Run::Steady,
        },
        fastest_rad_s: asked.fastest.map(|n| n * RPM),
        sweep_rad_s2: asked.sweep_rate * RPM,
        exhaust: asked.exhaust,
        mark: asked.mark,
        faults: Faults {
            hum: asked.hum,
            noise_db: asked.noise,
            drift: asked.drift,
            clip: asked.clip,
            inverted: asked.inverted,
            swapped: asked.swapped,
            missing: asked.missing,
            double: asked.double,
            stray: asked.stray,
            sparks: asked.sparks,
            waste: asked.waste,
        },
        seed: asked.seed,
    };
    let mut maker = Maker::new(&machine, &wish).map_err(|why| match why {
        NotMade::NoCurve => anyhow!(words::recording::MADE_NO_CURVE),
        NotMade::Impossible => anyhow!(words::recording::MADE_IMPOSSIBLE),
    })?;
    let name = asked.out.display().to_string();
    // An existing file is left alone.
    let out = OpenOptions::new().write(true).create_new(true).open(&asked.out);
    let out = out.with_context(|| words::cannot_write(&asked.out))?;
    let channels = maker.channels() as u16;
    let mut wav = WavOut::new(BufWriter::new(out), channels, asked.samples)?;
    while let Some(block) = maker.next_block() {
        wav.write(&block)?;
    }
    wav.finish()?.flush()?;
    if let Some(to) = &asked.truth {
        let mut text = "time_s,event,cylinder,speed_rpm,advance_deg\n".to_owned();
        for t in maker.truth() {
            let event = match t.event {
                Event::Fires => "fires",
                Event::Missing => "missing",
                Event::Stray => "stray",
            };
            let cylinder = machine.engine.cylinders.get(t.cylinder).map_or("", |c| c.name.as_str()).replace('"', "'");
            text.push_str(&format!(
                "{:.7},{event},\"{cylinder}\",{:.3},{:.3}\n",
                t.at_s,
                wire::rpm(t.speed_rad_s),
                t.advance_rad.to_degrees()
            ));
        }
        input::write_whole(to, text.as_bytes())?;
    }
    Ok(say(&name)?)
}
