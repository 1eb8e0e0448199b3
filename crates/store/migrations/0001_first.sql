-- One text for SQLite and PostgreSQL: only TEXT and BIGINT, placeholders $1,
-- times as milliseconds since 1970 (UTC), JSON as text.

CREATE TABLE shops (
    id TEXT NOT NULL PRIMARY KEY,
    name TEXT NOT NULL,
    signing_key TEXT NOT NULL,
    link_key TEXT NOT NULL,
    made_ms BIGINT NOT NULL
);

-- The head of each job's history, and what the list of jobs shows.
CREATE TABLE jobs (
    shop TEXT NOT NULL REFERENCES shops (id),
    id TEXT NOT NULL,
    version BIGINT NOT NULL,
    head TEXT NOT NULL,
    stage TEXT NOT NULL,
    glance TEXT NOT NULL,
    search TEXT NOT NULL,
    open_conflicts BIGINT NOT NULL,
    made_ms BIGINT NOT NULL,
    changed_ms BIGINT NOT NULL,
    PRIMARY KEY (shop, id)
);
CREATE INDEX jobs_by_change ON jobs (shop, changed_ms);
CREATE INDEX jobs_by_stage ON jobs (shop, stage, changed_ms);

-- Only ever added to.
CREATE TABLE events (
    shop TEXT NOT NULL,
    job TEXT NOT NULL,
    version BIGINT NOT NULL CHECK (version > 0),
    id TEXT NOT NULL,
    kind TEXT NOT NULL,
    saw BIGINT NOT NULL,
    body TEXT NOT NULL,
    who TEXT NOT NULL,
    device TEXT NOT NULL,
    said_ms BIGINT NOT NULL,
    at_ms BIGINT NOT NULL,
    standing TEXT NOT NULL CHECK (standing IN ('kept', 'aside')),
    undoes TEXT,
    settles TEXT,
    previous TEXT NOT NULL,
    hash TEXT NOT NULL,
    PRIMARY KEY (shop, job, version),
    UNIQUE (shop, id),
    FOREIGN KEY (shop, job) REFERENCES jobs (shop, id)
);

-- A saved state, so that reading a job does not fold its whole history.
CREATE TABLE snapshots (
    shop TEXT NOT NULL,
    job TEXT NOT NULL,
    version BIGINT NOT NULL,
    state TEXT NOT NULL,
    PRIMARY KEY (shop, job),
    FOREIGN KEY (shop, job) REFERENCES jobs (shop, id)
);

CREATE TABLE pictures (
    shop TEXT NOT NULL REFERENCES shops (id),
    hash TEXT NOT NULL,
    media TEXT NOT NULL,
    size_bytes BIGINT NOT NULL,
    width_px BIGINT NOT NULL,
    height_px BIGINT NOT NULL,
    taken TEXT,
    made_ms BIGINT NOT NULL,
    PRIMARY KEY (shop, hash)
);

CREATE TABLE tasks (
    shop TEXT NOT NULL REFERENCES shops (id),
    id TEXT NOT NULL,
    kind TEXT NOT NULL,
    body TEXT NOT NULL,
    state TEXT NOT NULL CHECK (state IN ('waiting', 'leased', 'done', 'given_up')),
    attempts BIGINT NOT NULL,
    most_attempts BIGINT NOT NULL,
    due_ms BIGINT NOT NULL,
    lease TEXT,
    leased_until_ms BIGINT,
    complaint TEXT,
    made_ms BIGINT NOT NULL,
    PRIMARY KEY (shop, id)
);
CREATE INDEX tasks_by_due ON tasks (state, due_ms);

-- At most one result for a task, whoever finishes it.
CREATE TABLE results (
    shop TEXT NOT NULL,
    task TEXT NOT NULL,
    body TEXT NOT NULL,
    made_ms BIGINT NOT NULL,
    PRIMARY KEY (shop, task),
    FOREIGN KEY (shop, task) REFERENCES tasks (shop, id)
);

CREATE TABLE people (
    shop TEXT NOT NULL REFERENCES shops (id),
    id TEXT NOT NULL,
    login TEXT NOT NULL UNIQUE,
    name TEXT NOT NULL,
    role TEXT NOT NULL CHECK (role IN ('owner', 'technician', 'viewer')),
    password TEXT NOT NULL,
    settings TEXT NOT NULL,
    active BIGINT NOT NULL,
    made_ms BIGINT NOT NULL,
    PRIMARY KEY (shop, id)
);

-- Tokens are never kept, only their SHA-256.
CREATE TABLE sessions (
    hash TEXT NOT NULL PRIMARY KEY,
    id TEXT NOT NULL,
    shop TEXT NOT NULL,
    person TEXT NOT NULL,
    device TEXT NOT NULL,
    form_token TEXT NOT NULL,
    made_ms BIGINT NOT NULL,
    turned_ms BIGINT NOT NULL,
    seen_ms BIGINT NOT NULL,
    expires_ms BIGINT NOT NULL,
    replaced_ms BIGINT,
    FOREIGN KEY (shop, person) REFERENCES people (shop, id)
);
CREATE INDEX sessions_by_id ON sessions (id);

CREATE TABLE pairings (
    hash TEXT NOT NULL PRIMARY KEY,
    shop TEXT NOT NULL,
    person TEXT NOT NULL,
    made_ms BIGINT NOT NULL,
    expires_ms BIGINT NOT NULL,
    used_ms BIGINT,
    FOREIGN KEY (shop, person) REFERENCES people (shop, id)
);

CREATE TABLE links (
    id TEXT NOT NULL PRIMARY KEY,
    shop TEXT NOT NULL,
    job TEXT NOT NULL,
    made_ms BIGINT NOT NULL,
    expires_ms BIGINT NOT NULL,
    withdrawn_ms BIGINT,
    FOREIGN KEY (shop, job) REFERENCES jobs (shop, id)
);
