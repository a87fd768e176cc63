-- What an alert says as figures, so that the page can word it; and where alerts go by MQTT.

ALTER TABLE alert ADD COLUMN figures TEXT NOT NULL DEFAULT '{}' CHECK (json_valid(figures));

ALTER TABLE settings_version ADD COLUMN mqtt_url TEXT;
ALTER TABLE settings_version ADD COLUMN mqtt_prefix TEXT;
ALTER TABLE settings_version ADD COLUMN mqtt_user TEXT;

-- Kept apart from the settings, whose every version stays: a password that was changed or taken away is gone.
CREATE TABLE secret (
  name TEXT PRIMARY KEY,
  value TEXT NOT NULL
) STRICT, WITHOUT ROWID;
