-- The ways by which an alert was to reach a person elsewhere, and when it had gone out by each; null: it is still owed.
-- Alerts of earlier programs have none: whether they were sent was not kept, and none is sent twice.

CREATE TABLE alert_sending (
  alert_id INTEGER NOT NULL REFERENCES alert (id),
  channel TEXT NOT NULL CHECK (channel IN ('webhook', 'mqtt')),
  sent_at_utc_ms INTEGER,
  PRIMARY KEY (alert_id, channel)
) STRICT, WITHOUT ROWID;
