-- The first form of the flock log. Never changed after a release: a new form is a new file.
--
-- id: a key inside this file only. uid: random and the same wherever the row is merged to.
-- Days are ISO dates without zone; *_at are UTC; *_s are seconds of sound; *_json hold lists.
-- batch_id: the import that brought a row in. Nothing is deleted: withdrawn_at, status.

CREATE TABLE batch (
    id INTEGER PRIMARY KEY,
    uid TEXT NOT NULL UNIQUE,
    kind TEXT NOT NULL,
    about TEXT NOT NULL DEFAULT '',
    started_at TEXT NOT NULL,
    withdrawn_at TEXT,
    withdrawn_why TEXT
) STRICT;

CREATE TABLE holding (
    id INTEGER PRIMARY KEY,
    uid TEXT NOT NULL UNIQUE,
    name TEXT NOT NULL,
    made_at TEXT NOT NULL
) STRICT;

CREATE TABLE pen (
    id INTEGER PRIMARY KEY,
    uid TEXT NOT NULL UNIQUE,
    holding_id INTEGER REFERENCES holding(id),
    name TEXT NOT NULL UNIQUE COLLATE NOCASE,
    made_at TEXT NOT NULL
) STRICT;

CREATE TABLE examiner (
    id INTEGER PRIMARY KEY,
    uid TEXT NOT NULL UNIQUE,
    name TEXT NOT NULL UNIQUE COLLATE NOCASE,
    made_at TEXT NOT NULL
) STRICT;

CREATE TABLE device (
    id INTEGER PRIMARY KEY,
    uid TEXT NOT NULL UNIQUE,
    name TEXT NOT NULL UNIQUE,
    made_at TEXT NOT NULL
) STRICT;

-- The register

CREATE TABLE bird (
    id INTEGER PRIMARY KEY,
    uid TEXT NOT NULL UNIQUE,
    name TEXT,
    name_key TEXT,                      -- the name as it is looked up
    species TEXT NOT NULL DEFAULT 'chicken',
    breed TEXT,
    sex TEXT,
    hatched_on TEXT,
    pen_id INTEGER REFERENCES pen(id),
    source TEXT,
    made_at TEXT NOT NULL,
    batch_id INTEGER REFERENCES batch(id),
    withdrawn_at TEXT
) STRICT;
CREATE INDEX bird_name ON bird(name_key);

-- A band is not a key: it falls off and is used again.
CREATE TABLE band (
    id INTEGER PRIMARY KEY,
    uid TEXT NOT NULL UNIQUE,
    bird_id INTEGER NOT NULL REFERENCES bird(id),
    mark TEXT NOT NULL,
    mark_key TEXT NOT NULL,             -- the mark as it is looked up
    last_key TEXT NOT NULL,             -- its last word, by which a part of it is found
    colour TEXT,
    leg TEXT,
    since_on TEXT,
    until_on TEXT,
    made_at TEXT NOT NULL,
    batch_id INTEGER REFERENCES batch(id),
    withdrawn_at TEXT
) STRICT;
CREATE INDEX band_mark ON band(mark_key);
CREATE INDEX band_last ON band(last_key);
CREATE INDEX band_bird ON band(bird_id);

CREATE TABLE bird_event (
    id INTEGER PRIMARY KEY,
    uid TEXT NOT NULL UNIQUE,
    bird_id INTEGER NOT NULL REFERENCES bird(id),
    kind TEXT NOT NULL,
    on_day TEXT,
    until_day TEXT,
    leaves INTEGER NOT NULL DEFAULT 0 CHECK (leaves IN (0, 1)),
    pen_id INTEGER REFERENCES pen(id),
    detail TEXT,
    made_at TEXT NOT NULL,
    batch_id INTEGER REFERENCES batch(id),
    withdrawn_at TEXT
) STRICT;
CREATE INDEX bird_event_bird ON bird_event(bird_id);

-- What was said

CREATE TABLE recording (
    id INTEGER PRIMARY KEY,
    uid TEXT NOT NULL UNIQUE,
    path TEXT NOT NULL,
    started_at TEXT,
    seconds REAL,
    sample_rate INTEGER,
    sha256 TEXT,
    examiner_id INTEGER REFERENCES examiner(id),
    device_id INTEGER REFERENCES device(id),
    finished_at TEXT,
    sound_removed_at TEXT,
    made_at TEXT NOT NULL,
    batch_id INTEGER REFERENCES batch(id)
) STRICT;

CREATE TABLE utterance (
    id INTEGER PRIMARY KEY,
    uid TEXT NOT NULL UNIQUE,
    recording_id INTEGER NOT NULL REFERENCES recording(id),
    position INTEGER NOT NULL,
    listener TEXT NOT NULL,
    start_s REAL,
    end_s REAL,
    words_json TEXT NOT NULL,           -- [[text, start, end, confidence], …]
    made_at TEXT NOT NULL,
    UNIQUE (recording_id, position)
) STRICT;

CREATE TABLE note (
    id INTEGER PRIMARY KEY,
    uid TEXT NOT NULL UNIQUE,
    text TEXT NOT NULL,
    file TEXT,
    line INTEGER,
    on_day TEXT,
    same_key TEXT NOT NULL,             -- equal for notes that are the same note
    made_at TEXT NOT NULL,
    batch_id INTEGER REFERENCES batch(id),
    withdrawn_at TEXT
) STRICT;
CREATE UNIQUE INDEX note_once ON note(same_key) WHERE withdrawn_at IS NULL;
CREATE INDEX note_batch ON note(batch_id);

-- What was understood

CREATE TABLE draft (
    id INTEGER PRIMARY KEY,
    uid TEXT NOT NULL UNIQUE,
    recording_id INTEGER REFERENCES recording(id),
    note_id INTEGER REFERENCES note(id),
    text TEXT NOT NULL,
    words_json TEXT NOT NULL,           -- [[from, to, word, start, end, confidence, listener], …]
    left_out_json TEXT NOT NULL,        -- [[from, to, quote, why, rule], …]
    parser TEXT NOT NULL DEFAULT '',
    file TEXT,
    line INTEGER,
    made_at TEXT NOT NULL,
    parsed_at TEXT NOT NULL,
    batch_id INTEGER REFERENCES batch(id)
) STRICT;
CREATE INDEX draft_recording ON draft(recording_id);
CREATE INDEX draft_note ON draft(note_id);

CREATE TABLE exam (
    id INTEGER PRIMARY KEY,
    uid TEXT NOT NULL UNIQUE,
    draft_id INTEGER NOT NULL REFERENCES draft(id),
    kind TEXT NOT NULL DEFAULT 'live' CHECK (kind IN ('live', 'post-mortem')),
    status TEXT NOT NULL DEFAULT 'draft' CHECK (status IN ('draft', 'confirmed', 'withdrawn')),
    has_confirmed INTEGER NOT NULL DEFAULT 0 CHECK (has_confirmed IN (0, 1)),
    on_day TEXT,
    at_time TEXT,
    date_problem TEXT,
    examiner_id INTEGER REFERENCES examiner(id),
    bird_id INTEGER REFERENCES bird(id),
    bird_json TEXT NOT NULL,            -- the bird as spoken of
    bird_choice TEXT CHECK (bird_choice IN ('keep', 'change', 'later')),
    bird_status TEXT NOT NULL DEFAULT 'draft' CHECK (bird_status IN ('draft', 'confirmed')),
    rest_normal INTEGER NOT NULL DEFAULT 0 CHECK (rest_normal IN (0, 1)),
    span_from INTEGER NOT NULL,
    span_to INTEGER NOT NULL,
    made_at TEXT NOT NULL,
    batch_id INTEGER REFERENCES batch(id),
    withdrawn_at TEXT,
    withdrawn_why TEXT
) STRICT;
CREATE INDEX exam_bird ON exam(bird_id, on_day);
CREATE INDEX exam_day ON exam(on_day);
CREATE INDEX exam_open ON exam(id) WHERE status = 'draft';
CREATE INDEX exam_draft ON exam(draft_id);
CREATE INDEX exam_batch ON exam(batch_id);

CREATE TABLE finding (
    id INTEGER PRIMARY KEY,
    uid TEXT NOT NULL UNIQUE,
    exam_id INTEGER NOT NULL REFERENCES exam(id),
    status TEXT NOT NULL DEFAULT 'draft'
        CHECK (status IN ('draft', 'confirmed', 'dropped', 'withdrawn', 'replaced')),
    choice TEXT CHECK (choice IN ('keep', 'change', 'drop', 'later')),
    added INTEGER NOT NULL DEFAULT 0 CHECK (added IN (0, 1)),
    region TEXT NOT NULL,
    sign TEXT NOT NULL,
    side TEXT CHECK (side IN ('left', 'right', 'both')),
    presence TEXT NOT NULL CHECK (presence IN ('present', 'absent')),
    grade INTEGER,
    certainty TEXT NOT NULL CHECK (certainty IN ('sure', 'possible')),
    "when" TEXT NOT NULL CHECK ("when" IN ('now', 'past')),
    detail TEXT,
    cues_json TEXT NOT NULL,            -- [[rule, category, from, to], …]
    span_from INTEGER NOT NULL,
    span_to INTEGER NOT NULL,
    quote TEXT NOT NULL,
    rule TEXT NOT NULL,
    penalties_json TEXT NOT NULL,       -- [[name, amount], …]
    verdict TEXT NOT NULL CHECK (verdict IN ('sure', 'check', 'ask')),
    start_s REAL,
    end_s REAL,
    confidence REAL,
    listeners_json TEXT NOT NULL,
    parsed_json TEXT,                   -- as first understood, once a person has changed it
    made_at TEXT NOT NULL
) STRICT;
CREATE INDEX finding_exam ON finding(exam_id);
CREATE INDEX finding_sign ON finding(sign, region);
CREATE INDEX finding_region ON finding(region);

CREATE TABLE measurement (
    id INTEGER PRIMARY KEY,
    uid TEXT NOT NULL UNIQUE,
    exam_id INTEGER NOT NULL REFERENCES exam(id),
    status TEXT NOT NULL DEFAULT 'draft'
        CHECK (status IN ('draft', 'confirmed', 'dropped', 'withdrawn', 'replaced')),
    choice TEXT CHECK (choice IN ('keep', 'change', 'drop', 'later')),
    added INTEGER NOT NULL DEFAULT 0 CHECK (added IN (0, 1)),
    kind TEXT NOT NULL,
    value REAL NOT NULL,
    unit TEXT NOT NULL,
    of TEXT,
    low REAL,
    high REAL,
    approximate INTEGER NOT NULL CHECK (approximate IN (0, 1)),
    former INTEGER NOT NULL CHECK (former IN (0, 1)),
    scheme TEXT,
    span_from INTEGER NOT NULL,
    span_to INTEGER NOT NULL,
    quote TEXT NOT NULL,
    rule TEXT NOT NULL,
    penalties_json TEXT NOT NULL,
    verdict TEXT NOT NULL CHECK (verdict IN ('sure', 'check', 'ask')),
    start_s REAL,
    end_s REAL,
    confidence REAL,
    listeners_json TEXT NOT NULL,
    parsed_json TEXT,
    made_at TEXT NOT NULL
) STRICT;
CREATE INDEX measurement_exam ON measurement(exam_id);
CREATE INDEX measurement_kind ON measurement(kind);

CREATE TABLE action (
    id INTEGER PRIMARY KEY,
    uid TEXT NOT NULL UNIQUE,
    exam_id INTEGER NOT NULL REFERENCES exam(id),
    status TEXT NOT NULL DEFAULT 'draft'
        CHECK (status IN ('draft', 'confirmed', 'dropped', 'withdrawn', 'replaced')),
    choice TEXT CHECK (choice IN ('keep', 'change', 'drop', 'later')),
    added INTEGER NOT NULL DEFAULT 0 CHECK (added IN (0, 1)),
    kind TEXT NOT NULL,
    in_days INTEGER,
    detail TEXT,
    span_from INTEGER NOT NULL,
    span_to INTEGER NOT NULL,
    quote TEXT NOT NULL,
    rule TEXT NOT NULL,
    penalties_json TEXT NOT NULL,
    verdict TEXT NOT NULL CHECK (verdict IN ('sure', 'check', 'ask')),
    start_s REAL,
    end_s REAL,
    confidence REAL,
    listeners_json TEXT NOT NULL,
    parsed_json TEXT,
    made_at TEXT NOT NULL
) STRICT;
CREATE INDEX action_exam ON action(exam_id);
CREATE INDEX action_kind ON action(kind);

CREATE TABLE question (
    id INTEGER PRIMARY KEY,
    uid TEXT NOT NULL UNIQUE,
    exam_id INTEGER NOT NULL REFERENCES exam(id),
    kind TEXT NOT NULL,
    text TEXT NOT NULL,
    field TEXT NOT NULL,
    item_kind TEXT CHECK (item_kind IN ('finding', 'measurement', 'action')),
    item_uid TEXT,                      -- the finding, measurement or action it is about
    choices_json TEXT NOT NULL,
    span_from INTEGER,
    span_to INTEGER,
    made_at TEXT NOT NULL,
    closed_at TEXT,
    answer TEXT
) STRICT;
CREATE INDEX question_exam ON question(exam_id);

CREATE TABLE observation (
    id INTEGER PRIMARY KEY,
    uid TEXT NOT NULL UNIQUE,
    draft_id INTEGER REFERENCES draft(id),
    status TEXT NOT NULL DEFAULT 'draft' CHECK (status IN ('draft', 'confirmed', 'withdrawn')),
    kind TEXT NOT NULL,
    on_day TEXT,
    pen_id INTEGER REFERENCES pen(id),
    value REAL,
    unit TEXT,
    detail TEXT,
    span_from INTEGER NOT NULL,
    span_to INTEGER NOT NULL,
    quote TEXT NOT NULL,
    made_at TEXT NOT NULL,
    batch_id INTEGER REFERENCES batch(id)
) STRICT;
CREATE INDEX observation_day ON observation(on_day);
CREATE INDEX observation_draft ON observation(draft_id);

-- Product, days and prescriber are the keeper's words and the label's; none is ever proposed.
CREATE TABLE treatment_course (
    id INTEGER PRIMARY KEY,
    uid TEXT NOT NULL UNIQUE,
    status TEXT NOT NULL DEFAULT 'draft' CHECK (status IN ('draft', 'confirmed', 'withdrawn')),
    bird_id INTEGER REFERENCES bird(id),
    pen_id INTEGER REFERENCES pen(id),
    exam_id INTEGER REFERENCES exam(id),
    product TEXT NOT NULL,
    product_batch TEXT,
    reason TEXT,
    first_on TEXT,
    last_on TEXT,
    egg_days INTEGER,
    meat_days INTEGER,
    regime TEXT,
    prescriber TEXT,
    quote TEXT,
    made_at TEXT NOT NULL,
    batch_id INTEGER REFERENCES batch(id),
    withdrawn_at TEXT
) STRICT;
CREATE INDEX treatment_course_bird ON treatment_course(bird_id);
CREATE INDEX treatment_course_pen ON treatment_course(pen_id);

CREATE TABLE photo (
    id INTEGER PRIMARY KEY,
    uid TEXT NOT NULL UNIQUE,
    exam_id INTEGER REFERENCES exam(id),
    finding_id INTEGER REFERENCES finding(id),
    path TEXT NOT NULL,
    sha256 TEXT NOT NULL,
    taken_at TEXT,
    made_at TEXT NOT NULL,
    batch_id INTEGER REFERENCES batch(id),
    withdrawn_at TEXT
) STRICT;
CREATE INDEX photo_exam ON photo(exam_id);

-- The audit trail: every change with its time, its reason and what stood before it.
CREATE TABLE decision (
    id INTEGER PRIMARY KEY,
    uid TEXT NOT NULL UNIQUE,
    exam_id INTEGER REFERENCES exam(id),
    item_uid TEXT,
    what TEXT NOT NULL,
    changes_json TEXT NOT NULL,         -- [[table, uid, {column: before}, {column: after}], …]
    reason TEXT NOT NULL DEFAULT '',
    examiner_id INTEGER REFERENCES examiner(id),
    decided_at TEXT NOT NULL,
    undone_by INTEGER REFERENCES decision(id)
) STRICT;
CREATE INDEX decision_exam ON decision(exam_id);

-- Full text of each exam's own words, kept as a view so that they are stored once.
CREATE VIEW exam_said AS
    SELECT exam.id AS id,
           CASE WHEN exam.span_to > 0
                THEN substr(draft.text, exam.span_from + 1, exam.span_to - exam.span_from)
                ELSE draft.text END AS text
    FROM exam JOIN draft ON draft.id = exam.draft_id;
CREATE VIRTUAL TABLE said USING fts5(
    text, content = 'exam_said', content_rowid = 'id',
    tokenize = 'porter unicode61 remove_diacritics 2'
);
