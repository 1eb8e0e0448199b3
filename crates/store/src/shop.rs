//! The store of a server, and the room of one shop in it.
//!
//! Law: every row belongs to a shop; whatever reads or writes a shop's rows is
//! a method of [`Shop`] and puts the shop's id into its query.
//! Holds: for one process or several on one database.
//! Left out: who may do what; the pages ask [`crate::Session`] for the role.
//! Checked by: `tests/store/shops.rs`, where one shop asks for all of another's.

use std::path::{Path, PathBuf};
use std::sync::Arc;
use std::time::{Duration, Instant, SystemTime, UNIX_EPOCH};

use tokio::sync::broadcast;
use tokio::task::AbortHandle;

use crate::database::{self, Cell, Database};
use crate::error::StoreError;
use crate::journal::{Line, Remembered};
use crate::live::{self, Notice};
use crate::pictures::PicturePlace;
use crate::token;

/// Tells the time in milliseconds since 1970; tests bring their own.
pub type Clock = Arc<dyn Fn() -> i64 + Send + Sync>;

/// Where everything is kept.
#[derive(Clone, Debug)]
pub struct Places {
    /// `sqlite:FILE` or `postgres://USER@HOST/NAME`.
    pub database: String,
    /// A folder (`file:///…`), or
    /// `s3://BUCKET/PREFIX?endpoint=URL&region=R&key=K&secret=S`.
    pub pictures: String,
    /// Where copies go before the tables are changed.
    pub backups: PathBuf,
    /// Where uploads wait until they are whole.
    pub waiting: PathBuf,
    /// The most megabytes that an SQLite file may grow to.
    pub most_mb: Option<u32>,
}

/// The store of one server. Cheap to clone.
#[derive(Clone)]
pub struct Store {
    pub(crate) inner: Arc<Inner>,
}

pub(crate) struct Inner {
    pub(crate) database: Database,
    pub(crate) pictures: PicturePlace,
    pub(crate) waiting: PathBuf,
    pub(crate) notices: broadcast::Sender<Notice>,
    pub(crate) line: Line,
    pub(crate) remembered: Remembered,
    clock: Clock,
    copy_before_upgrade: Option<PathBuf>,
    listener: AbortHandle,
}

/// One shop's room in the store. Cheap to clone.
#[derive(Clone)]
pub struct Shop {
    pub(crate) store: Store,
    pub(crate) id: String,
}

/// A shop in the list of shops.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct ShopCard {
    /// Its id.
    pub id: String,
    /// Its name.
    pub name: String,
}

impl Places {
    /// Everything in one folder: the default of a single shop.
    #[must_use]
    pub fn in_folder(data: &Path) -> Self {
        let data = std::path::absolute(data).unwrap_or_else(|_| data.to_owned());
        Self {
            database: format!("sqlite:{}", data.join("lapwing.sqlite").display()),
            pictures: format!("file://{}", data.join("pictures").display()),
            backups: data.join("backups"),
            waiting: data.join("waiting"),
            most_mb: None,
        }
    }
}

impl Store {
    /// Opens the store, makes or upgrades its tables, and starts to listen for
    /// the changes of other processes.
    ///
    /// # Errors
    /// When a place cannot be reached, or was written by a newer program.
    pub async fn open(places: &Places) -> Result<Self, StoreError> {
        Self::open_with_clock(places, Arc::new(system_ms)).await
    }

    /// [`Store::open`] with a clock of one's own.
    ///
    /// # Errors
    /// As [`Store::open`].
    pub async fn open_with_clock(places: &Places, clock: Clock) -> Result<Self, StoreError> {
        let database = Database::open(&places.database, places.most_mb).await?;
        let copy = database::bring_forward(&database, &places.backups, clock()).await?;
        let pictures = PicturePlace::open(&places.pictures)?;
        std::fs::create_dir_all(&places.waiting)?;
        let (notices, _) = broadcast::channel(1024);
        let listener = live::listen(database.clone(), notices.clone()).await?;
        Ok(Self {
            inner: Arc::new(Inner {
                database,
                pictures,
                waiting: places.waiting.clone(),
                notices,
                line: Line::default(),
                remembered: Remembered::default(),
                clock,
                copy_before_upgrade: copy,
                listener,
            }),
        })
    }

    /// Where the tables were copied to before they were upgraded, if they were.
    #[must_use]
    pub fn copy_before_upgrade(&self) -> Option<&Path> {
        self.inner.copy_before_upgrade.as_deref()
    }

    /// The number of the tables' last upgrade step.
    pub async fn tables_version(&self) -> i64 {
        database::current_version(&self.inner.database).await
    }

    /// Asks the database for a sign of life.
    ///
    /// # Errors
    /// When it does not answer.
    pub async fn ping(&self) -> Result<(), StoreError> {
        self.database().row("SELECT 1", &[]).await.map(|_| ())
    }

    /// Makes a new shop with keys of its own.
    ///
    /// # Errors
    /// When the name is empty or too long, or the database is away.
    pub async fn found_shop(&self, name: &str) -> Result<Shop, StoreError> {
        const NEW: &str = "INSERT INTO shops (id, name, signing_key, link_key, made_ms) \
            VALUES ($1, $2, $3, $4, $5)";
        let name = token::short_text("The shop's name", name, 120)?;
        let id = token::new_id();
        let cells = [
            Cell::from(&id),
            Cell::from(name),
            Cell::from(token::secret_hex()),
            Cell::from(token::secret_hex()),
            Cell::from(self.now_ms()),
        ];
        self.database().change(NEW, &cells).await?;
        Ok(Shop {
            store: self.clone(),
            id,
        })
    }

    /// All shops, by name. For the operator; a shop's people never see this.
    ///
    /// # Errors
    /// When the database is away.
    pub async fn shops(&self) -> Result<Vec<ShopCard>, StoreError> {
        let rows = self
            .database()
            .rows("SELECT id, name FROM shops ORDER BY name, id", &[])
            .await?;
        rows.iter()
            .map(|row| {
                Ok(ShopCard {
                    id: row.text(0)?,
                    name: row.text(1)?,
                })
            })
            .collect()
    }

    /// The room of one shop.
    ///
    /// # Errors
    /// When there is no such shop, or the database is away.
    pub async fn shop(&self, id: &str) -> Result<Shop, StoreError> {
        self.database()
            .row("SELECT id FROM shops WHERE id = $1", &[id.into()])
            .await?
            .ok_or_else(|| StoreError::not_there("shop", id))?;
        Ok(self.known_shop(id))
    }

    /// Hangs up all lines, after what is under way.
    pub async fn close(&self) {
        self.inner.listener.abort();
        self.database().close().await;
    }

    pub(crate) fn known_shop(&self, id: &str) -> Shop {
        Shop {
            store: self.clone(),
            id: id.to_owned(),
        }
    }

    pub(crate) fn database(&self) -> &Database {
        &self.inner.database
    }

    pub(crate) fn now_ms(&self) -> i64 {
        (self.inner.clock)()
    }
}

impl Shop {
    /// The shop's id.
    #[must_use]
    pub fn id(&self) -> &str {
        &self.id
    }

    /// The store that the shop is in.
    #[must_use]
    pub fn store(&self) -> &Store {
        &self.store
    }

    /// The shop's name.
    ///
    /// # Errors
    /// When the database is away.
    pub async fn name(&self) -> Result<String, StoreError> {
        self.own_row("SELECT name FROM shops WHERE id = $1").await
    }

    /// Gives the shop another name.
    ///
    /// # Errors
    /// When the name is empty or too long, or the database is away.
    pub async fn rename(&self, name: &str) -> Result<(), StoreError> {
        const SET: &str = "UPDATE shops SET name = $2 WHERE id = $1";
        let name = token::short_text("The shop's name", name, 120)?;
        let cells = [Cell::from(&self.id), Cell::from(name)];
        self.database().change(SET, &cells).await.map(|_| ())
    }

    pub(crate) async fn own_row(&self, sql: &'static str) -> Result<String, StoreError> {
        self.database()
            .row(sql, &[Cell::from(&self.id)])
            .await?
            .ok_or_else(|| StoreError::not_there("shop", &self.id))?
            .text(0)
    }

    pub(crate) fn database(&self) -> &Database {
        self.store.database()
    }

    pub(crate) fn now_ms(&self) -> i64 {
        self.store.now_ms()
    }
}

impl Drop for Inner {
    fn drop(&mut self) {
        self.listener.abort();
    }
}

/// No try begins later than this after the first: whoever waits at a page
/// should hear that the database is away.
const LONGEST_PATIENCE: Duration = Duration::from_secs(4);

/// How long a piece of work that may pass is tried again.
pub(crate) struct Patience {
    pause: Duration,
    tries_left: u32,
    until: Instant,
}

impl Patience {
    pub(crate) fn new() -> Self {
        Self {
            pause: Duration::from_millis(40),
            tries_left: 5,
            until: Instant::now() + LONGEST_PATIENCE,
        }
    }

    /// Waits a little longer each time; false when it is time to give up.
    pub(crate) async fn bears(&mut self, error: &StoreError) -> bool {
        if !error.may_pass() || self.tries_left == 0 || Instant::now() > self.until {
            return false;
        }
        tokio::time::sleep(self.pause).await;
        self.tries_left -= 1;
        self.pause *= 2;
        true
    }
}

fn system_ms() -> i64 {
    let since = SystemTime::now().duration_since(UNIX_EPOCH);
    since.map_or(0, |time| {
        i64::try_from(time.as_millis()).unwrap_or(i64::MAX)
    })
}
