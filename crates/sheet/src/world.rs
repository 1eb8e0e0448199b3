//! The closed room in which a page is set: our fonts, our template, the data and the pictures, and nothing else.
//!
//! Law: none. The page setter asks this room for every file, font and date; it has no way out.
//! Source: none needed.
//! Holds: file names are fixed (`plan.typ`, `data.json`, the pictures and `photo-1` to `photo-12`), because the page setter
//! keeps every name it has met for the life of the program. Anything else is "not found".
//! Left out: system fonts, packages, the network and the clock. The date is the caller's or none,
//! so the same input gives the same sheet on every machine.
//! Checked by: the tests in `tests.rs`, which fail on any warning (a missing font is one).

use std::sync::LazyLock;

use typst::diag::{FileError, FileResult};
use typst::foundations::{Bytes, Datetime, Duration};
use typst::syntax::{FileId, RootedPath, Source, VirtualPath, VirtualRoot};
use typst::text::{Font, FontBook};
use typst::utils::LazyHash;
use typst::{Library, LibraryExt, World};

use crate::error::SheetError;

/// The fonts in the order in which the page setter knows them.
static FONTS: LazyLock<Vec<Font>> = LazyLock::new(|| {
    let files: [&'static [u8]; 4] = [
        include_bytes!("../fonts/ahn-400.ttf"),
        include_bytes!("../fonts/ahn-600.ttf"),
        include_bytes!("../fonts/ahn-700.ttf"),
        include_bytes!("../fonts/dejavu-sans.ttf"),
    ];
    files
        .into_iter()
        .flat_map(|file| Font::iter(Bytes::new(file)))
        .collect()
});

static BOOK: LazyLock<LazyHash<FontBook>> =
    LazyLock::new(|| LazyHash::new(FontBook::from_fonts(FONTS.iter())));

static LIBRARY: LazyLock<LazyHash<Library>> = LazyLock::new(|| LazyHash::new(Library::default()));

/// What lies in the room beside fonts and template.
pub(crate) struct Files<'a> {
    /// The data as JSON text.
    pub(crate) data: String,
    /// SVG texts by name.
    pub(crate) pictures: &'a [(&'a str, &'a str)],
    /// Photographs, in the room as `photo-1`, `photo-2` and so on.
    pub(crate) photos: &'a [Vec<u8>],
}

/// The room for one sheet.
pub(crate) struct ClosedWorld {
    main: Source,
    data: Bytes,
    pictures: Vec<(String, Bytes)>,
    today: Option<Datetime>,
}

impl ClosedWorld {
    /// Builds the room from the template's text, the files, and a date.
    ///
    /// # Errors
    /// [`SheetError::Layout`] if the template's own name is refused by the page setter.
    pub(crate) fn new(
        template: (&str, &str),
        files: Files<'_>,
        today: Option<Datetime>,
    ) -> Result<Self, SheetError> {
        let (name, text) = template;
        let path = VirtualPath::new(name).map_err(|why| SheetError::Layout {
            what: format!("the template's name {name} is refused: {why:?}"),
        })?;
        let drawn = files
            .pictures
            .iter()
            .map(|(name, svg)| ((*name).to_owned(), Bytes::from_string((*svg).to_owned())));
        let taken = files
            .photos
            .iter()
            .zip(1..)
            .map(|(photo, number)| (format!("photo-{number}"), Bytes::new(photo.clone())));
        let id = RootedPath::new(VirtualRoot::Project, path).intern();
        Ok(Self {
            main: Source::new(id, text.to_owned()),
            data: Bytes::from_string(files.data),
            pictures: drawn.chain(taken).collect(),
            today,
        })
    }
}

impl World for ClosedWorld {
    fn library(&self) -> &LazyHash<Library> {
        &LIBRARY
    }

    fn book(&self) -> &LazyHash<FontBook> {
        &BOOK
    }

    fn main(&self) -> FileId {
        self.main.id()
    }

    fn source(&self, id: FileId) -> FileResult<Source> {
        if id == self.main.id() {
            Ok(self.main.clone())
        } else {
            Err(not_found(id))
        }
    }

    fn file(&self, id: FileId) -> FileResult<Bytes> {
        let name = id.get().vpath().get_without_slash();
        if name == "data.json" {
            return Ok(self.data.clone());
        }
        self.pictures
            .iter()
            .find(|(known, _)| known == name)
            .map(|(_, file)| file.clone())
            .ok_or_else(|| not_found(id))
    }

    fn font(&self, index: usize) -> Option<Font> {
        FONTS.get(index).cloned()
    }

    fn today(&self, _offset: Option<Duration>) -> Option<Datetime> {
        self.today
    }
}

fn not_found(id: FileId) -> FileError {
    FileError::NotFound(id.get().vpath().get_without_slash().into())
}
