//! Which tables and columns a backup holds, in an order that respects who
//! refers to whom.
//!
//! Holds: for the tables of this program's last step; a test compares the list
//! with the database, so that a new column cannot be forgotten.
//! Left out: sessions and pairing codes; people sign in again.
//! Checked by: `tests/store/backup.rs` on both databases.

use serde_json::Value;
use sqlx::AssertSqlSafe;

use crate::database::{Cell, Tx};
use crate::error::StoreError;

/// A table: its name, its columns, and those of them that hold numbers.
pub(super) struct Table {
    pub(super) name: &'static str,
    pub(super) columns: &'static [&'static str],
}

pub(super) const TABLES: &[Table] = &[
    Table {
        name: "shops",
        columns: &["id", "name", "signing_key", "link_key", "made_ms"],
    },
    Table {
        name: "jobs",
        columns: &[
            "shop",
            "id",
            "version",
            "head",
            "stage",
            "glance",
            "search",
            "open_conflicts",
            "made_ms",
            "changed_ms",
        ],
    },
    Table {
        name: "events",
        columns: &[
            "shop", "job", "version", "id", "kind", "saw", "body", "who", "device", "said_ms",
            "at_ms", "standing", "undoes", "settles", "previous", "hash",
        ],
    },
    Table {
        name: "snapshots",
        columns: &["shop", "job", "version", "state"],
    },
    Table {
        name: "pictures",
        columns: &[
            "shop",
            "hash",
            "media",
            "size_bytes",
            "width_px",
            "height_px",
            "taken",
            "made_ms",
        ],
    },
    Table {
        name: "tasks",
        columns: &[
            "shop",
            "id",
            "kind",
            "body",
            "state",
            "attempts",
            "most_attempts",
            "due_ms",
            "lease",
            "leased_until_ms",
            "complaint",
            "made_ms",
        ],
    },
    Table {
        name: "results",
        columns: &["shop", "task", "body", "made_ms"],
    },
    Table {
        name: "people",
        columns: &[
            "shop", "id", "login", "name", "role", "password", "settings", "active", "made_ms",
        ],
    },
    Table {
        name: "links",
        columns: &["id", "shop", "job", "made_ms", "expires_ms", "withdrawn_ms"],
    },
];

/// Tables that a backup leaves out on purpose.
#[cfg(test)]
pub(super) const LEFT_OUT: &[&str] = &["sessions", "pairings", "_sqlx_migrations"];

const NUMBERS: &[&str] = &[
    "version",
    "saw",
    "open_conflicts",
    "attempts",
    "most_attempts",
    "active",
    "size_bytes",
    "width_px",
    "height_px",
];

const ROWS_AT_ONCE: usize = 1000;
const ROWS_PER_INSERT: usize = 50;

impl Table {
    fn is_number(column: &str) -> bool {
        column.ends_with("_ms") || NUMBERS.contains(&column)
    }

    /// Calls `each` with every row as a JSON array, in the order of the keys.
    pub(super) async fn read(
        &self,
        tx: &mut Tx,
        mut each: impl FnMut(&Value) -> Result<(), StoreError>,
    ) -> Result<u64, StoreError> {
        let page = format!(
            "SELECT {} FROM {} ORDER BY 1, 2, 3 LIMIT {ROWS_AT_ONCE} OFFSET $1",
            self.columns.join(", "),
            self.name
        );
        let mut count = 0;
        loop {
            let rows = tx
                .rows(AssertSqlSafe(page.clone()), &[Cell::Int(count)])
                .await?;
            for row in &rows {
                each(&row.cells().iter().map(to_json).collect())?;
            }
            count += rows.len() as i64;
            if rows.len() < ROWS_AT_ONCE {
                return Ok(count.unsigned_abs());
            }
        }
    }

    /// Adds rows.
    pub(super) async fn write(&self, tx: &mut Tx, rows: &[Value]) -> Result<(), StoreError> {
        for some in rows.chunks(ROWS_PER_INSERT) {
            let mut cells = Vec::with_capacity(some.len() * self.columns.len());
            for row in some {
                cells.extend(self.to_cells(row)?);
            }
            let width = self.columns.len();
            let groups: Vec<String> = (0..some.len())
                .map(|row| {
                    let marks = (1..=width).map(|n| format!("${}", row * width + n));
                    format!("({})", marks.collect::<Vec<_>>().join(", "))
                })
                .collect();
            let text = format!(
                "INSERT INTO {} ({}) VALUES {}",
                self.name,
                self.columns.join(", "),
                groups.join(", ")
            );
            tx.change(AssertSqlSafe(text), &cells).await?;
        }
        Ok(())
    }

    fn to_cells(&self, row: &Value) -> Result<Vec<Cell>, StoreError> {
        let wrong =
            || StoreError::damaged(format!("table {}", self.name), "a row has another form");
        let values = row.as_array().filter(|v| v.len() == self.columns.len());
        let values = values.ok_or_else(wrong)?;
        (self.columns.iter().zip(values))
            .map(|(column, value)| match (Self::is_number(column), value) {
                (true, Value::Null) => Ok(Cell::NoInt),
                (false, Value::Null) => Ok(Cell::NoText),
                (true, Value::Number(n)) => n.as_i64().map(Cell::Int).ok_or_else(wrong),
                (false, Value::String(text)) => Ok(Cell::from(text)),
                _ => Err(wrong()),
            })
            .collect()
    }
}

fn to_json(cell: &Cell) -> Value {
    match cell {
        Cell::Text(text) => Value::from(text.as_str()),
        Cell::Int(number) => Value::from(*number),
        Cell::NoText | Cell::NoInt => Value::Null,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::database::{Database, bring_forward};

    #[tokio::test]
    async fn no_table_and_no_column_is_forgotten() {
        const NAMES: &str = "SELECT name FROM sqlite_master WHERE type = 'table' \
            AND name NOT LIKE 'sqlite_%'";
        let folder = tempfile::tempdir().expect("a folder");
        let url = format!("sqlite:{}", folder.path().join("x.sqlite").display());
        let database = Database::open(&url, None).await.expect("opened");
        bring_forward(&database, folder.path(), 1)
            .await
            .expect("made");
        let rows = database.rows(NAMES, &[]).await.expect("tables");
        assert!(rows.len() > 9);
        for row in rows {
            let name = row.text(0).expect("a name");
            if LEFT_OUT.contains(&name.as_str()) {
                continue;
            }
            let table = TABLES.iter().find(|table| table.name == name);
            let table = table.unwrap_or_else(|| panic!("table {name} is forgotten"));
            let text = format!("SELECT name, type FROM pragma_table_info('{name}')");
            let columns = database
                .rows(AssertSqlSafe(text), &[])
                .await
                .expect("columns");
            let mut wanted = Vec::new();
            for column in columns {
                let name = column.text(0).expect("a name");
                let is_number = column.text(1).expect("a type") == "BIGINT";
                assert_eq!(Table::is_number(&name), is_number, "{name}");
                wanted.push(name);
            }
            assert_eq!(table.columns, wanted, "table {name}");
        }
    }
}
