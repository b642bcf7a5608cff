//! Photos, recordings and papers of a job, as found beside as left, and a form for the next.

use super::{Job, by, field_as, measure};
use crate::{bench::attachments::MOST_FILE_BYTES, exchange::shelf::may_be_one};
use jobbook::{Attachment, Body, Media, Standing};
use maud::{Markup, html};
use sheets::words::{page as words, recording::page as recording};

/// Kinds that a telephone offers to photograph.
const PHOTOS: &str = "image/jpeg,image/png,image/webp";
/// Kinds and endings to choose from; what counts is what is found in the file.
const FILES: &str = "image/jpeg,image/png,image/webp,audio/wav,audio/x-wav,text/csv,text/plain,application/pdf,.jpg,.jpeg,.png,.webp,.wav,.csv,.txt,.pdf";

impl Job<'_> {
    pub(super) fn files(&self) -> Markup {
        let files: Vec<(&Standing, &Attachment)> = self.present.attachments().collect();
        html! {
            section.files #attachments tabindex="-1" {
                h3 { (words::PICTURES) }
                (self.kept(|body| matches!(body, Body::Attachment(_))))
                @if !files.is_empty() {
                    div.stages {
                        @for (_, stage) in measure::STAGES {
                            @let these: Vec<_> = files.iter().filter(|(_, a)| a.stage == stage).collect();
                            @if !these.is_empty() {
                                div {
                                    h4 { (words::stage(stage)) }
                                    @for (standing, file) in these { (self.file(standing, file)) }
                                }
                            }
                        }
                    }
                }
                h4 { (words::ADD_A_FILE) }
                (self.upload())
            }
        }
    }

    fn file(&self, standing: &Standing, file: &Attachment) -> Markup {
        let at = format!("/job/{}/file/{}", self.record.number, file.hash);
        let shows = if file.words.is_empty() { &file.file } else { &file.words };
        let media = Media::named(&file.media);
        let reading = self.present.readings().find(|(s, _)| file.reading == Some(s.first) || file.reading == Some(s.entry.id));
        html! {
            figure.file-of-job {
                @match media {
                    Some(m) if m.is_picture() => a href=(at) { img src=(at) alt=(shows) loading="lazy" decoding="async"; },
                    Some(Media::Wav) => audio controls preload="none" src=(at) aria-label=(shows) {},
                    _ => {}
                }
                figcaption {
                    a href=(at) download[!media.is_some_and(Media::is_picture)] { (shows) }
                    div.soft { @if let Some(m) = media { (words::media(m)) } @else { (file.file) } @if let Some((_, r)) = reading { ", " (words::belongs_to(r)) } }
                    @if crate::recordings::may_be(file) {
                        div { a href={ "/job/" (self.record.number) "/heard/" (file.hash) } { (recording::HEAR) } }
                    }
                    @if matches!(media, Some(Media::Csv | Media::Text)) && may_be_one(&file.file) {
                        div { a href={ "/job/" (self.record.number) "/shelf/" (file.hash) } { (sheets::words::part::page::AS_SHELF) } }
                    }
                    div.soft { (by(&standing.entry)) }
                }
            }
        }
    }

    fn upload(&self) -> Markup {
        html! {
            form.upload method="post" enctype="multipart/form-data" action={ "/job/" (self.record.number) "/attachment" }
                data-most=(MOST_FILE_BYTES) data-too-large=(words::file_too_large()) data-none=(words::NO_FILE)
                data-sending=(words::BEING_SENT) data-away=(words::NOT_SENT) {
                input type="hidden" name="token" value={ (self.token) "-attachment" };
                (measure::stages("file-stage", self.stage()))
                div.fields {
                    div.field { label for="photo" { (words::TAKE_A_PHOTO) } input #photo type="file" name="file" accept=(PHOTOS) capture="environment"; }
                    div.field { label for="file" { (words::CHOOSE_A_FILE) } input #file type="file" name="file" accept=(FILES); }
                    div.field {
                        label for="shows" { (words::WHAT_IT_SHOWS) }
                        input #shows name="words" required list="usually-shown" autocomplete="off";
                        datalist #usually-shown { @for each in words::USUALLY_SHOWN { option value=(each) {} } }
                    }
                    div.field {
                        label for="of-reading" { (words::BELONGS_TO) }
                        select #of-reading name="reading" {
                            option value="" { (words::TO_NONE) }
                            @for (s, r) in self.present.readings() { option value=(s.first.0) { (words::stage(r.stage)) ", " (words::reading_in_words(r)) } }
                        }
                    }
                    (field_as("file-who", "who", words::WHO, self.who, ""))
                }
                p.soft { (words::what_may_be_kept()) }
                p.error role="alert" hidden {}
                button { (words::KEEP_FILE_OF_JOB) }
            }
        }
    }
}
