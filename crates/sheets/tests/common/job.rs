//! Jobs to print: an invented one, one in which every datum has a mark of its own, a long one, a hostile one.

use sheets::job::*;

fn s(text: &str) -> String {
    text.to_owned()
}

fn eur(minor: i64) -> Option<Money> {
    Some(Money { minor, currency: s("EUR") })
}

fn taken(value: &str, instrument: &str, speed: &str, condition: &str, when: &str) -> Taken {
    Taken {
        value: s(value),
        instrument: s(instrument),
        temperature: s("21 °C"),
        speed: s(speed),
        condition: s(condition),
        who: s("MB"),
        when: s(when),
    }
}

fn row(quantity: &str, place: &str, found: Vec<Taken>, left: Vec<Taken>) -> ReadingRow {
    ReadingRow { quantity: s(quantity), place: s(place), found, during: vec![], left }
}

/// The invented Corran 360, whose idle hangs.
pub fn corran() -> JobPaper {
    let strobe = |v: &str, rpm: &str, when: &str| vec![taken(v, "strobe, plain mark", rpm, "running", when)];
    let mut segment = row(
        "Segment length, along the rim",
        "",
        vec![taken("30,9 ± 0,3 mm", "calliper and tape", "", "still", "2030-03-02 10:05")],
        vec![taken("24,6 ± 0,3 mm", "calliper and tape", "", "still", "2030-03-05 15:20")],
    );
    segment.during = vec![
        taken("27,0 ± 0,3 mm", "calliper and tape", "", "still", "2030-03-05 14:10"),
        taken("25,4 ± 0,3 mm", "calliper and tape", "", "still", "2030-03-05 14:50"),
    ];
    JobPaper {
        machine: s("Corran 360"),
        about_machine: vec![(s("Engine"), s("four-stroke twin, 62 × 59 mm")), (s("Ignition"), s("trigger rotor, two pickups"))],
        number: s("2030-0014"),
        opened: s("2030-03-02"),
        handed_over: s("2030-03-06"),
        printed: s("2030-03-06"),
        complaint: s(
            "When I close the throttle at a red light it stays up at a good two thousand until I drag it down with the clutch. Only when warm. Two shops have had the carburettors off for it.",
        ),
        odometer: s("41 230 km"),
        may_spend: eur(45_000),
        may_cut: s("Yes, the trigger rotor, if nothing else helps."),
        custody: Custody { owner: s("A. Example"), contact: s("0123 456"), plate: s("XX 00 TEST"), frame: s("C360-000000") },
        readings: vec![
            row(
                "Idle speed",
                "warm",
                vec![taken("1050 ± 40 rpm", "rev counter", "", "running", "2030-03-02 09:40")],
                vec![taken("1050 ± 40 rpm", "rev counter", "", "running", "2030-03-05 17:30")],
            ),
            row(
                "Timing before TDC",
                "left cylinder",
                strobe("4 ± 1,2°", "1050 rpm", "2030-03-02 09:50"),
                strobe("11 ± 1,2°", "1050 rpm", "2030-03-05 17:40"),
            ),
            row("Timing before TDC", "right cylinder", strobe("4,5 ± 1,2°", "1050 rpm", "2030-03-02 09:55"), vec![]),
            segment,
            row("Pickup gap", "pickup 1", vec![], vec![]),
            row("Pickup gap", "pickup 2", vec![taken("0,45 ± 0,05 mm", "feeler gauge", "", "still", "2030-03-02 10:15")], vec![]),
        ],
        beside: vec![s(
            "Pickup gap, pickup 2: 0,45 ± 0,05 mm, but by the file 0.70 ± 0.05 mm. Either the part has changed or the file is wrong.",
        )],
        findings: vec![
            Finding {
                words: s("The advance begins close above the idle, so the engine has two firm rest speeds, 1050 and 2400 rpm."),
                plain: s(
                    "At idle the spark came very late. A little more speed brought it earlier, which sped the engine up again: it could settle at two speeds.",
                ),
            },
            Finding {
                words: s("No air is drawn in at the inlet; cable and stop are free."),
                plain: s("The carburettors and the cable are in order."),
            },
        ],
        alterations: vec![
            Alteration {
                words: s("Turn the pickup plate 6° earlier."),
                plain: s("Turning the pickup plate."),
                why: s("it would have moved the spark at full speed too far."),
                progress: Progress::GivenUp,
                planned: s("6°"),
                measured_after: vec![],
                irreversible: false,
                consented: false,
                who: s("MB"),
                when: s("2030-03-04"),
            },
            Alteration {
                words: s("Trim the trailing end of the trigger segment, in three bites."),
                plain: s("We took 6 mm off one end of the part that triggers the spark."),
                why: s("at idle the spark now comes earlier, and there is one speed at which the engine rests."),
                progress: Progress::Done,
                planned: s("6,3 ± 0,3 mm"),
                measured_after: vec![s("segment 24,6 ± 0,3 mm"), s("least advance 11 ± 1,2°")],
                irreversible: true,
                consented: true,
                who: s("MB"),
                when: s("2030-03-05"),
            },
            Alteration {
                words: s("Balance the rotor by drilling opposite the cut."),
                plain: s(""),
                why: s(""),
                progress: Progress::Planned,
                planned: s("4 mm deep"),
                measured_after: vec![],
                irreversible: true,
                consented: false,
                who: s(""),
                when: s(""),
            },
        ],
        consents: vec![Consent {
            work: s("Trim the trailing end of the trigger segment by 6,3 mm."),
            risk: s("If the cut goes too far the rotor is scrap, and another may not be found."),
            by: s("A. Example"),
            how: s("on paper"),
            when: s("2030-03-04"),
        }],
        parts: vec![
            Part {
                name: s("Woodruff key"),
                quantity: s("1"),
                each: eur(380),
                cost: eur(380),
                source: s("shelf"),
                when: s("2030-03-05"),
            },
            Part {
                name: s("Cover gasket, cut by hand"),
                quantity: s("0.25 m²"),
                each: eur(2_400),
                cost: eur(600),
                source: s("roll"),
                when: s("2030-03-05"),
            },
        ],
        times: vec![
            Time {
                minutes: 95,
                words: s("Finding the cause"),
                hourly: eur(6_800),
                cost: eur(10_767),
                who: s("MB"),
                when: s("2030-03-02"),
            },
            Time {
                minutes: 130,
                words: s("Trimming, refitting, strobe"),
                hourly: eur(6_800),
                cost: eur(14_733),
                who: s("MB"),
                when: s("2030-03-05"),
            },
        ],
        totals: vec![Money { minor: 26_480, currency: s("EUR") }],
        unpriced: 0,
        reminders: vec![
            Reminder { what: s("Rotor nut: torque again after the first heat"), due: s("2030-03-20"), done: s("") },
            Reminder { what: s("Look at the glue of the magnets"), due: s("2031-03-01"), done: s("") },
        ],
        listen_for: vec![s("Whether the speed falls at once when you close the throttle, warm and cold.")],
        old_parts: vec![s("Woodruff key"), s("cover gasket")],
        notes: vec![Note {
            words: s("Next time: strobe below idle first, it would have saved an hour."),
            about: s("Judge"),
            who: s("MB"),
            when: s("2030-03-06"),
        }],
        study: vec![s("As found: hangs at 2400 rpm. In 164 of 200 sampled cases it hangs (76 to 87 %).")],
        before: vec![],
        after: vec![],
        attachments: vec![Attachment {
            file: s("IMG_0012.jpg"),
            words: s("segment with a rule"),
            stage: s("as found"),
            when: s("2030-03-02"),
        }],
        corrections: vec![Correction {
            what: s("Reading: idle speed"),
            was: s("1500 ± 40 rpm"),
            now: s("1050 ± 40 rpm"),
            who: s("MB"),
            when: s("2030-03-02 09:45"),
            why: s("digits swapped"),
        }],
    }
}

/// A job in which every text is a mark that stands nowhere else, with the marks of what names the owner.
pub fn marked() -> (JobPaper, Vec<String>, Vec<String>) {
    let mut marks = Vec::new();
    let mut m = || {
        marks.push(format!("Q{:03}Z", marks.len()));
        marks.last().cloned().unwrap()
    };
    let custody = Custody { owner: m(), contact: m(), plate: m(), frame: m() };
    let taken = |m: &mut dyn FnMut() -> String| Taken {
        value: m(),
        instrument: m(),
        temperature: m(),
        speed: m(),
        condition: m(),
        who: m(),
        when: m(),
    };
    let reading = ReadingRow {
        quantity: m(),
        place: m(),
        found: vec![taken(&mut m), taken(&mut m)],
        during: vec![taken(&mut m)],
        left: vec![taken(&mut m)],
    };
    let alteration = |progress, m: &mut dyn FnMut() -> String| Alteration {
        words: m(),
        plain: String::new(),
        why: m(),
        progress,
        planned: m(),
        measured_after: vec![m(), m()],
        irreversible: true,
        consented: false,
        who: m(),
        when: m(),
    };
    // Prices that stand nowhere else either.
    let mut minor = 111_000;
    let mut price = || {
        minor += 1;
        Some(Money { minor, currency: s("CHF") })
    };
    let job = JobPaper {
        machine: m(),
        about_machine: vec![(m(), m())],
        number: m(),
        opened: m(),
        handed_over: m(),
        printed: m(),
        complaint: m(),
        odometer: m(),
        may_spend: price(),
        may_cut: m(),
        custody,
        readings: vec![reading],
        beside: vec![m()],
        findings: vec![Finding { words: m(), plain: String::new() }],
        alterations: vec![
            alteration(Progress::Planned, &mut m),
            alteration(Progress::Done, &mut m),
            alteration(Progress::GivenUp, &mut m),
        ],
        consents: vec![Consent { work: m(), risk: m(), by: m(), how: m(), when: m() }],
        parts: vec![Part { name: m(), quantity: m(), each: price(), cost: price(), source: m(), when: m() }],
        times: vec![Time { minutes: 607, words: m(), hourly: price(), cost: price(), who: m(), when: m() }],
        totals: vec![price().unwrap(), Money { minor: 1_234_567, currency: s("JPY") }],
        unpriced: 3,
        reminders: vec![Reminder { what: m(), due: m(), done: m() }],
        listen_for: vec![],
        old_parts: vec![m()],
        notes: vec![Note { words: m(), about: m(), who: m(), when: m() }],
        study: vec![m()],
        before: vec![],
        after: vec![],
        attachments: vec![Attachment { file: m(), words: m(), stage: m(), when: m() }],
        corrections: vec![Correction { what: m(), was: m(), now: m(), who: m(), when: m(), why: m() }],
    };
    let mut all: Vec<String> = marks[4..].to_vec();
    all.extend((111_001..=minor).map(|p| Money { minor: p, currency: s("CHF") }.to_string()));
    all.extend([Money { minor: 1_234_567, currency: s("JPY") }.to_string(), s("10 h 7 min"), s("3 lines have no price")]);
    (job, marks[..4].to_vec(), all)
}

/// The Corran with so many readings, each told from the others.
pub fn long(readings: usize) -> JobPaper {
    let one = |i: usize, stage: &str| Taken {
        value: format!("{stage}{i:03} ± 0.5 kΩ"),
        ..taken("", "meter 2", "900 rpm", "loaded", "2030-03-02")
    };
    JobPaper {
        readings: (0..readings)
            .map(|i| {
                row("Resistance", &format!("winding {i}"), vec![one(i, "F")], if i % 3 == 0 { vec![] } else { vec![one(i, "L")] })
            })
            .collect(),
        ..corran()
    }
}

/// The same text in every place that takes one.
pub fn everywhere(text: &str) -> JobPaper {
    let t = || s(text);
    let taken = || Taken { value: t(), instrument: t(), temperature: t(), speed: t(), condition: t(), who: t(), when: t() };
    JobPaper {
        machine: t(),
        about_machine: vec![(t(), t())],
        number: t(),
        opened: t(),
        handed_over: t(),
        printed: t(),
        complaint: t(),
        odometer: t(),
        may_spend: Some(Money { minor: i64::MIN, currency: t() }),
        may_cut: t(),
        custody: Custody { owner: t(), contact: t(), plate: t(), frame: t() },
        readings: vec![ReadingRow { quantity: t(), place: t(), found: vec![taken()], during: vec![taken()], left: vec![] }],
        beside: vec![t()],
        findings: vec![Finding { words: t(), plain: t() }],
        alterations: vec![Alteration {
            words: t(),
            plain: t(),
            why: t(),
            progress: Progress::Planned,
            planned: t(),
            measured_after: vec![t()],
            irreversible: true,
            consented: false,
            who: t(),
            when: t(),
        }],
        consents: vec![Consent { work: t(), risk: t(), by: t(), how: t(), when: t() }],
        parts: vec![Part {
            name: t(),
            quantity: t(),
            each: Some(Money { minor: 1, currency: t() }),
            cost: None,
            source: t(),
            when: t(),
        }],
        times: vec![Time { minutes: u32::MAX, words: t(), hourly: None, cost: None, who: t(), when: t() }],
        totals: vec![Money { minor: i64::MAX, currency: t() }],
        unpriced: 1,
        reminders: vec![Reminder { what: t(), due: t(), done: t() }, Reminder { what: t(), due: t(), done: s("") }],
        listen_for: vec![t()],
        old_parts: vec![t()],
        notes: vec![Note { words: t(), about: t(), who: t(), when: t() }],
        study: vec![t()],
        before: vec![Picture::Drawing(sheets::scene::Scene::new(500.0, 10.0, text, ""))],
        after: vec![],
        attachments: vec![Attachment { file: t(), words: t(), stage: t(), when: t() }],
        corrections: vec![Correction { what: t(), was: t(), now: t(), who: t(), when: t(), why: t() }],
    }
}
