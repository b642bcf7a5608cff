//! Photos, recordings and papers of a job: taken in, known by what is in them, and given out again as nothing more than that.

use super::{
    Bench, Room, Trouble,
    arriving::{Arriving, not_kept},
    jobs::{after, record, refused, stamp},
};
use crate::exchange::hidden_sign;
use axum::{
    extract::{Multipart, Path, State},
    http::{HeaderMap, HeaderValue, StatusCode, header},
    response::{IntoResponse, Response},
};
use jobbook::{
    Attachment, Blob, Body, ContentHash, Draft, EntryId, JobRecord, MOST_BLOB_BYTES, Media, Place, Present, Stage, Unproven,
};
use sheets::words::page as words;
use std::ops::RangeInclusive;

/// Largest file [bytes]: what the book takes.
pub const MOST_FILE_BYTES: usize = MOST_BLOB_BYTES;
/// Most that is read of an upload [bytes]. A browser that is cut off shows no answer, so what is too large is read to its
/// end and thrown away, up to this.
pub const MOST_UPLOAD_BYTES: usize = 4 * MOST_FILE_BYTES;
/// Longest text beside the file [bytes].
const MOST_TEXT_BYTES: usize = 4096;
/// Longest name of a file that is noted [letters].
const LONGEST_NAME: usize = 120;
/// An address under which files arrive.
pub fn is_upload(path: &str) -> bool {
    path.strip_prefix("/job/").and_then(|rest| rest.strip_suffix("/attachment")).is_some_and(|number| !number.contains('/'))
}

/// What was sent.
#[derive(Default)]
struct Sent {
    /// Its name and its bytes.
    file: Option<(String, Vec<u8>)>,
    token: String,
    stage: String,
    words: String,
    reading: String,
    who: String,
}

fn too_large() -> Trouble {
    not_kept(StatusCode::PAYLOAD_TOO_LARGE, words::file_too_large())
}

async fn receive(mut form: Multipart) -> Result<(Sent, Arriving), Trouble> {
    let arriving = Arriving::begin(too_large)?;
    let mut sent = Sent::default();
    let mut is_too_large = false;
    while let Some(mut field) = arriving.next(form.next_field()).await? {
        let name = field.name().unwrap_or_default().to_owned();
        if name == "file" {
            let called = file_name(field.file_name().unwrap_or_default());
            match arriving.bytes(&mut field, MOST_FILE_BYTES).await? {
                None => is_too_large = true,
                // The other of the two places to choose a file was left empty.
                Some(none) if none.is_empty() && called.is_empty() => {}
                Some(_) if sent.file.is_some() => return Err(refused(words::ONE_FILE.to_owned())),
                Some(bytes) => sent.file = Some((called, bytes)),
            }
            continue;
        }
        let text = arriving.text(&mut field, MOST_TEXT_BYTES).await?;
        match name.as_str() {
            "token" => sent.token = text,
            "stage" => sent.stage = text,
            "words" => sent.words = text.trim().to_owned(),
            "reading" => sent.reading = text,
            "who" => sent.who = text,
            _ => {}
        }
    }
    if is_too_large { Err(too_large()) } else { Ok((sent, arriving)) }
}

/// The last part of a name, without what cannot be shown or would turn other signs round. It is shown and given back, never used as a path.
pub(super) fn file_name(sent: &str) -> String {
    let last = sent.rsplit(['/', '\\']).next().unwrap_or_default();
    let shown: String = last
        .chars()
        .filter(|c| !c.is_control() && hidden_sign(c.encode_utf8(&mut [0; 4])).is_none())
        .take(LONGEST_NAME)
        .collect();
    shown.trim().trim_matches('.').to_owned()
}

/// Takes a file in. Nobody waits for it: the book is not held while it arrives or is looked at.
pub(super) async fn keep(State(bench): Room, Path(number): Path<String>, form: Multipart) -> Result<Response, Trouble> {
    let job = record(&bench, &number)?;
    // The place is kept until the file is in the book: so long it is in memory.
    let (Sent { file, token, stage, words, reading, who }, _arriving) = receive(form).await?;
    let (file, bytes) = file.ok_or_else(|| refused(words::NO_FILE.to_owned()))?;
    let stage: Stage = serde_json::from_value(stage.into()).map_err(|_| not_kept(StatusCode::BAD_REQUEST, words::FORM_BROKEN))?;
    if token.is_empty() {
        return Err(not_kept(StatusCode::BAD_REQUEST, words::FORM_BROKEN));
    }
    if words.is_empty() {
        return Err(refused(words::SAY_WHAT_IT_SHOWS.to_owned()));
    }
    let reading = match reading.trim() {
        "" => None,
        id => Some(id.parse().map(EntryId).map_err(|_| refused(words::NO_SUCH_ENTRY.to_owned()))?),
    };
    let to = number.clone();
    // Hashing and writing take long for a large file: not on a thread that answers others.
    let kept = tokio::task::spawn_blocking(move || {
        let media = Media::of(&bytes).map_err(|e| not_kept(StatusCode::UNSUPPORTED_MEDIA_TYPE, words::media_error(&e)))?;
        let blob = Blob::new(bytes)?;
        let book = bench.book();
        if let Some(id) = reading
            && !book.entry(id).is_ok_and(|e| e.job == Some(job.id) && matches!(e.body, Body::Reading(_)))
        {
            return Err(refused(words::NO_SUCH_ENTRY.to_owned()));
        }
        let attachment = Attachment { file, media: media.name().to_owned(), hash: blob.hash().clone(), stage, words, reading };
        drop(book);
        let draft = Draft::new(attachment).token(&token);
        bench.apart(|book| book.attach(Place::Job(job.id), stamp(&who), draft, &blob))??;
        Ok(after(&to, &token, "attachments", &who))
    });
    kept.await.map_err(|_| not_kept(StatusCode::INTERNAL_SERVER_ERROR, sheets::words::COMPUTATION_BROKE))?
}

/// A file of a job by the hash of its content: proved against it, and called what it is found to be now.
pub(super) async fn file(
    State(bench): Room,
    Path((number, hash)): Path<(String, String)>,
    headers: HeaderMap,
) -> Result<Response, Trouble> {
    let (_, name, unproven) = of_job(&bench, &number, &hash)?;
    given(name, unproven, headers).await
}

/// A file of the book, proved and given out.
pub(super) async fn given(name: String, unproven: Unproven, headers: HeaderMap) -> Result<Response, Trouble> {
    let proved = tokio::task::spawn_blocking(move || {
        let bytes = unproven.prove()?;
        let media = Media::of(&bytes).ok();
        Ok::<_, jobbook::BookError>((bytes, media))
    });
    let proved = proved.await.map_err(|_| jobbook::BookError::Busy)?;
    let (bytes, media) = proved.map_err(|e| Trouble { title: words::FILE_DAMAGED, ..Trouble::from(e) })?;
    Ok(answer(&name, media, bytes, &headers))
}

/// The job, and the file's name and content as the book has it, by the hash of the content.
pub(super) fn of_job(bench: &Bench, number: &str, hash: &str) -> Result<(JobRecord, String, Unproven), Trouble> {
    let job = bench.book().job_by_number(number)?;
    let (name, unproven) = of_place(bench, Place::Job(job.id), hash)?;
    Ok((job, name, unproven))
}

/// A file of a place in the book: its name and its content, by the hash of that.
pub(super) fn of_place(bench: &Bench, place: Place, hash: &str) -> Result<(String, Unproven), Trouble> {
    let nowhere = || Trouble { status: StatusCode::NOT_FOUND, title: words::NOT_IN_BOOK, words: words::NO_SUCH_FILE.to_owned() };
    let hash = ContentHash::parse(hash).ok_or_else(nowhere)?;
    let book = bench.book();
    // What was taken back is in the log all the same.
    let name = book.log(place)?.iter().rev().find_map(|e| match &e.body {
        Body::Attachment(a) if a.hash == hash => Some(a.file.clone()),
        _ => None,
    });
    Ok((name.ok_or_else(nowhere)?, book.unproven_blob(&hash)?))
}

fn answer(name: &str, media: Option<Media>, bytes: Vec<u8>, asked: &HeaderMap) -> Response {
    let shown = media.is_some_and(|m| m.is_picture() || m == Media::Wav);
    let kind = match media {
        Some(text @ (Media::Csv | Media::Text)) => format!("{}; charset=utf-8", text.name()),
        // A file that came another way and is none of these is given out as bytes.
        other => other.map_or("application/octet-stream", Media::name).to_owned(),
    };
    let all = bytes.len();
    let part = asked.get(header::RANGE).and_then(|v| part_of(v.to_str().ok()?, all));
    let mut answer = match &part {
        Some(part) => (StatusCode::PARTIAL_CONTENT, bytes[part.clone()].to_vec()).into_response(),
        None => bytes.into_response(),
    };
    let mut set = |name, value: String| {
        if let Ok(value) = HeaderValue::from_str(&value) {
            answer.headers_mut().insert(name, value);
        }
    };
    set(header::CONTENT_TYPE, kind);
    set(header::CONTENT_DISPOSITION, disposition(shown, name));
    // Whatever opens it by itself may run and load nothing.
    set(header::CONTENT_SECURITY_POLICY, "default-src 'none'; sandbox".to_owned());
    // Under one hash there is one content for ever; a day, so that a device that is let in no longer forgets it.
    set(header::CACHE_CONTROL, "private, max-age=86400, immutable".to_owned());
    set(header::ACCEPT_RANGES, "bytes".to_owned());
    if let Some(part) = part {
        set(header::CONTENT_RANGE, format!("bytes {}-{}/{all}", part.start(), part.end()));
    }
    answer
}

/// One range of bytes (RFC 9110, 14.1.2): some telephones play no recording without. Anything else is answered whole, as 14.2 allows.
fn part_of(range: &str, all: usize) -> Option<RangeInclusive<usize>> {
    let (from, to) = range.strip_prefix("bytes=")?.split_once('-')?;
    let last = all.checked_sub(1)?;
    let number = |text: &str| text.bytes().all(|b| b.is_ascii_digit()).then(|| text.parse::<usize>().ok())?;
    let part = match (from, to) {
        ("", most) => all.saturating_sub(number(most)?)..=last,
        (from, "") => number(from)?..=last,
        (from, to) => number(from)?..=number(to)?.min(last),
    };
    (!part.is_empty() && *part.start() <= last).then_some(part)
}

/// How a browser should treat it, and its name (RFC 6266; RFC 8187 for what is not ASCII).
fn disposition(shown: bool, name: &str) -> String {
    let plain: String = name.chars().map(|c| if c.is_ascii_alphanumeric() || ".-_ ".contains(c) { c } else { '_' }).collect();
    let coded: String = name
        .bytes()
        .map(|b| if b.is_ascii_alphanumeric() || b".-_".contains(&b) { char::from(b).to_string() } else { format!("%{b:02X}") })
        .collect();
    format!("{}; filename=\"{plain}\"; filename*=UTF-8''{coded}", if shown { "inline" } else { "attachment" })
}

/// The files that stand, for paper.
pub(super) fn for_paper(present: &Present) -> Vec<sheets::job::Attachment> {
    let one = |(s, a): (&jobbook::Standing, &Attachment)| sheets::job::Attachment {
        file: a.file.clone(),
        words: a.words.clone(),
        stage: words::stage(a.stage).to_owned(),
        when: sheets::words::at(s.entry.at),
    };
    present.attachments().map(one).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_name_is_no_path() {
        for (sent, kept) in [
            ("IMG 1.jpg", "IMG 1.jpg"),
            ("../../etc/passwd", "passwd"),
            ("C:\\Bilder\\rotor.png", "rotor.png"),
            ("..", ""),
            ("a\r\nSet-Cookie: x", "aSet-Cookie: x"),
            ("photo\u{202e}gpj.exe", "photogpj.exe"),
            ("", ""),
        ] {
            assert_eq!(file_name(sent), kept, "{sent:?}");
        }
        assert_eq!(file_name(&"ä".repeat(500)).chars().count(), LONGEST_NAME);
        assert_eq!(
            disposition(false, "Zündung\"; x.csv"),
            "attachment; filename=\"Z_ndung__ x.csv\"; filename*=UTF-8''Z%C3%BCndung%22%3B%20x.csv"
        );
    }

    #[test]
    fn a_part_lies_within_the_whole() {
        for (range, part) in [
            ("bytes=0-", Some(0..=9)),
            ("bytes=0-1", Some(0..=1)),
            ("bytes=4-99", Some(4..=9)),
            ("bytes=-3", Some(7..=9)),
            ("bytes=-99", Some(0..=9)),
            ("bytes=10-", None),
            ("bytes=5-4", None),
            ("bytes=-0", None),
            ("bytes=0-1,3-4", None),
            ("bytes=+1-2", None),
            ("lines=0-1", None),
        ] {
            assert_eq!(part_of(range, 10), part, "{range}");
        }
        assert_eq!(part_of("bytes=0-", 0), None);
    }

    #[test]
    fn only_one_address_takes_large_bodies() {
        assert!(is_upload("/job/2026-0001/attachment"));
        for path in ["/job/2026-0001/reading", "/job//x/attachment", "/attachment", "/job/attachment", "/job/1/attachment/"] {
            assert!(!is_upload(path), "{path}");
        }
    }
}
