-- A mark that is another one after each change, so that a backup of the same state need not be made twice.
-- Empty while nothing has been changed since the store was made or brought to this schema.

CREATE TABLE change_mark (
    one INTEGER PRIMARY KEY CHECK (one = 1),
    mark TEXT NOT NULL
) STRICT;

INSERT INTO change_mark (one, mark) VALUES (1, '');
