-- A record of version 7 as the program of that version wrote it, dumped by SQLite.
BEGIN TRANSACTION;
CREATE TABLE account (
            id INTEGER PRIMARY KEY AUTOINCREMENT,
            firing_n INTEGER NOT NULL REFERENCES firing (n),
            topic TEXT NOT NULL,
            text TEXT NOT NULL,
            by TEXT,
            label TEXT,
            client_id TEXT
        ) STRICT;
INSERT INTO "account" VALUES(1,2,'load','40 mugs','Ann',NULL,NULL);
CREATE TABLE alert (
            n INTEGER PRIMARY KEY,
            id TEXT NOT NULL UNIQUE,
            firing_n INTEGER NOT NULL REFERENCES firing (n),
            line TEXT NOT NULL CHECK (json_valid(line))
        ) STRICT;
INSERT INTO "alert" VALUES(1,'2026-11-25-0a1b.stall.kiln.1',1,'{"id": "2026-11-25-0a1b.stall.kiln.1", "firing": "2026-11-25-0a1b", "kind": "stall", "severity": "warning", "channel": null, "message": "The kiln has stopped climbing (1): look at the elements.", "raised_at_s": 60.0, "raised_time": null, "data": {"rate_c_per_h": 1.25}, "cleared_at_s": null, "cleared_time": null, "cleared_message": null, "acknowledged_at_s": 70.0, "acknowledged_time": null, "acknowledged_by": "Ann", "messages": 2}');
INSERT INTO "alert" VALUES(2,'2026-11-25-0a1b.overshoot.kiln.1',1,'{"id": "2026-11-25-0a1b.overshoot.kiln.1", "firing": "2026-11-25-0a1b", "kind": "overshoot", "severity": "warning", "channel": null, "message": "The kiln has stopped climbing (2): look at the elements.", "raised_at_s": 61.0, "raised_time": null, "data": {"rate_c_per_h": 1.25}, "cleared_at_s": null, "cleared_time": null, "cleared_message": null, "acknowledged_at_s": null, "acknowledged_time": null, "acknowledged_by": null, "messages": 1, "worsened_at_s": null, "worsened_time": null, "told_at_s": 61.0, "reminders": 0, "reminded_at_s": null, "reminded_time": null, "escalated_at_s": null, "escalated_time": null, "untold": [], "late_s": null}');
CREATE TABLE alert_book (
            firing_n INTEGER PRIMARY KEY REFERENCES firing (n),
            line TEXT NOT NULL CHECK (json_valid(line))
        ) STRICT;
INSERT INTO "alert_book" VALUES(1,'{"gathers_until_s": 121.0, "summaries": 0}');
CREATE TABLE audit (
            id INTEGER PRIMARY KEY AUTOINCREMENT,
            time TEXT NOT NULL,
            what TEXT NOT NULL,
            who TEXT,
            address TEXT NOT NULL,
            detail TEXT NOT NULL CHECK (json_valid(detail)),
            firing TEXT
        ) STRICT;
INSERT INTO "audit" VALUES(1,'2026-11-25T20:00:00+00:00','add_note','Ann','192.168.1.7','{}','2026-11-25-0a1b');
CREATE TABLE block (
            n INTEGER PRIMARY KEY,
            readings INTEGER NOT NULL CHECK (readings > 0),
            first_s REAL NOT NULL,
            last_s REAL NOT NULL,
            data BLOB NOT NULL
        ) STRICT;
INSERT INTO "block" VALUES(8589934592,10,0.0,9.0,X'01789C8D8E310E83300C45C3553C67C00185927B848530D096B648109012C4807221EED23B3554401918FA17DBFFFBC97E134226D02030A470EB9AA1D506443E81B155EF5D0AD7D254207C3AD677FBFA5A6D6D4CAD9FDE7574DB0CB7CD98331E319660C29047310B91EFECE5C0E28FC51DC6144F0FA5AEA0F02887C62EDFE511F5E1A4C076BD02A1A0EB2BADC0415138121CB40E4466732665268994B35CF45773A660AD1FD0D04FEB');
CREATE TABLE event (
            firing_n INTEGER NOT NULL REFERENCES firing (n),
            seq INTEGER NOT NULL,
            elapsed_s REAL NOT NULL,
            kind TEXT NOT NULL,
            severity TEXT NOT NULL,
            state TEXT NOT NULL,
            channel TEXT,
            line TEXT NOT NULL CHECK (json_valid(line)),
            PRIMARY KEY (firing_n, seq),
            UNIQUE (firing_n, line)
        ) STRICT;
INSERT INTO "event" VALUES(1,1,60.0,'stall','warning','raised',NULL,'{"elapsed_s": 60.0, "time": null, "kind": "stall", "severity": "warning", "state": "raised", "channel": null, "message": "The kiln has stopped climbing (1): look at the elements.", "data": {"rate_c_per_h": 1.25}}');
INSERT INTO "event" VALUES(1,2,61.0,'overshoot','warning','raised',NULL,'{"elapsed_s": 61.0, "time": null, "kind": "overshoot", "severity": "warning", "state": "raised", "channel": null, "message": "The kiln has stopped climbing (2): look at the elements.", "data": {"rate_c_per_h": 1.25}}');
INSERT INTO "event" VALUES(2,1,60.0,'stall','warning','raised',NULL,'{"elapsed_s": 60.0, "time": null, "kind": "stall", "severity": "warning", "state": "raised", "channel": null, "message": "The kiln has stopped climbing (1): look at the elements.", "data": {"rate_c_per_h": 1.25}}');
CREATE TABLE finding (
            id INTEGER PRIMARY KEY AUTOINCREMENT,
            firing_n INTEGER NOT NULL REFERENCES firing (n),
            key TEXT NOT NULL,
            place TEXT NOT NULL,
            level INTEGER NOT NULL CHECK (level >= 0),
            text TEXT,
            by TEXT,
            label TEXT
        ) STRICT;
INSERT INTO "finding" VALUES(1,2,'crazing','',1,NULL,'Ann',NULL);
CREATE TABLE firing (
            n INTEGER PRIMARY KEY,
            id TEXT NOT NULL UNIQUE,
            kiln TEXT NOT NULL,
            name TEXT NOT NULL,
            schedule_toml TEXT,
            mode TEXT NOT NULL CHECK (mode IN ('live', 'simulation', 'import')),
            state TEXT NOT NULL CHECK (state IN ('open', 'closed')),
            channels TEXT NOT NULL CHECK (json_valid(channels)),
            units TEXT NOT NULL CHECK (units IN ('C', 'F')),
            started_label TEXT,
            boot_id TEXT,
            boottime_start_s REAL,
            ended_at_s REAL,
            ended_label TEXT,
            settings TEXT NOT NULL CHECK (json_valid(settings))
        , blind TEXT CHECK (blind IS NULL OR json_valid(blind)), awaits_rest INTEGER NOT NULL DEFAULT 0
            CHECK (awaits_rest IN (0, 1))) STRICT;
INSERT INTO "firing" VALUES(1,'2026-11-25-0a1b','Big Bertha','Glaze','name = "Glaze"
','live','open','["top","bottom"]','C','2026-11-25T20:00:00+00:00','boot-1',12.25,NULL,NULL,'{"sensitivity":1.5}','{"to_s": 1.0}',0);
INSERT INTO "firing" VALUES(2,'2026-11-20-c1d2','Big Bertha','Bisque','name = "Bisque"
','import','closed','["top","bottom"]','C','2026-11-20T08:00:00+00:00',NULL,NULL,9.0,'2026-11-20T08:00:09+00:00','{"log":"old.csv"}',NULL,0);
CREATE TABLE label_segment (
            n INTEGER PRIMARY KEY,
            elapsed_s REAL NOT NULL,
            label TEXT
        ) STRICT;
INSERT INTO "label_segment" VALUES(4294967296,0.0,'2026-11-25T20:00:00+00:00');
INSERT INTO "label_segment" VALUES(8589934592,0.0,'2026-11-20T08:00:00+00:00');
CREATE TABLE note (
            id INTEGER PRIMARY KEY AUTOINCREMENT,
            firing_n INTEGER NOT NULL REFERENCES firing (n),
            elapsed_s REAL NOT NULL,
            time TEXT,
            text TEXT NOT NULL,
            by TEXT,
            client_id TEXT
        ) STRICT;
INSERT INTO "note" VALUES(1,2,3.0,NULL,'shelf: low','log',NULL);
CREATE TABLE observation (
            id INTEGER PRIMARY KEY AUTOINCREMENT,
            firing_n INTEGER NOT NULL REFERENCES firing (n),
            elapsed_s REAL NOT NULL,
            cone TEXT NOT NULL,
            clock TEXT NOT NULL,
            channel TEXT,
            shelf TEXT,
            time TEXT,
            by TEXT,
            written_label TEXT,
            client_id TEXT,
            is_withdrawn INTEGER NOT NULL DEFAULT 0 CHECK (is_withdrawn IN (0, 1))
        ) STRICT;
INSERT INTO "observation" VALUES(1,1,2.0,'6','3:30','top',NULL,NULL,NULL,NULL,NULL,0);
CREATE TABLE offset_change (
            id INTEGER PRIMARY KEY AUTOINCREMENT,
            kiln TEXT NOT NULL,
            channel TEXT NOT NULL,
            offset_c REAL,
            sigma_c REAL,
            observations INTEGER,
            firings INTEGER,
            label TEXT,
            firing_n INTEGER REFERENCES firing (n),
            elapsed_s REAL,
            after_firing_n INTEGER NOT NULL,
            configured_c REAL NOT NULL DEFAULT 0,
            is_simulated INTEGER NOT NULL DEFAULT 0 CHECK (is_simulated IN (0, 1)),
            CHECK ((offset_c IS NULL) = (sigma_c IS NULL)),
            CHECK ((offset_c IS NULL) = (observations IS NULL)),
            CHECK ((offset_c IS NULL) = (firings IS NULL)),
            CHECK ((firing_n IS NULL) = (elapsed_s IS NULL))
        ) STRICT;
INSERT INTO "offset_change" VALUES(1,'Big Bertha','top',4.0,3.0,1,1,NULL,NULL,NULL,1,0.0,0);
CREATE TABLE outbox (
            id INTEGER PRIMARY KEY AUTOINCREMENT,
            topic TEXT NOT NULL,
            payload TEXT NOT NULL,
            qos INTEGER NOT NULL CHECK (qos IN (0, 1, 2)),
            retain INTEGER NOT NULL CHECK (retain IN (0, 1)),
            created_label TEXT,
            sent_label TEXT,
            is_sent INTEGER NOT NULL DEFAULT 0 CHECK (is_sent IN (0, 1))
        , destination TEXT NOT NULL DEFAULT 'mqtt') STRICT;
INSERT INTO "outbox" VALUES(1,'spyhole/big-bertha/alerts','{"id": "2026-11-25-0a1b.stall.kiln.1#1", "alert": "2026-11-25-0a1b.stall.kiln.1", "firing": "2026-11-25-0a1b", "kiln": "Big Bertha", "kind": "stall", "severity": "warning", "state": "raised", "channel": null, "message": "The kiln has stopped climbing (1): look at the elements.", "elapsed_s": 60.0, "time": null, "by": null, "data": {"rate_c_per_h": 1.25}}',1,0,'then','then',1,'mqtt');
INSERT INTO "outbox" VALUES(2,'spyhole/big-bertha/alerts','{"id": "2026-11-25-0a1b.stall.kiln.1#2", "alert": "2026-11-25-0a1b.stall.kiln.1", "firing": "2026-11-25-0a1b", "kiln": "Big Bertha", "kind": "stall", "severity": "warning", "state": "acknowledged", "channel": null, "message": "The kiln has stopped climbing (1): look at the elements.", "elapsed_s": 70.0, "time": null, "by": "Ann", "data": {"rate_c_per_h": 1.25}}',1,0,NULL,NULL,0,'mqtt');
INSERT INTO "outbox" VALUES(3,'spyhole/big-bertha/alerts','{}',1,0,NULL,NULL,0,'mqtt');
INSERT INTO "outbox" VALUES(4,'','{}',1,0,NULL,NULL,0,'notify-1');
CREATE TABLE photo (
            id INTEGER PRIMARY KEY AUTOINCREMENT,
            firing_n INTEGER NOT NULL REFERENCES firing (n),
            sha256 TEXT NOT NULL CHECK (length(sha256) = 64),
            kind TEXT NOT NULL CHECK (kind IN ('jpeg', 'png', 'webp')),
            bytes INTEGER NOT NULL,
            width_px INTEGER NOT NULL,
            height_px INTEGER NOT NULL,
            caption TEXT,
            by TEXT,
            label TEXT,
            client_id TEXT,
            is_withdrawn INTEGER NOT NULL DEFAULT 0 CHECK (is_withdrawn IN (0, 1))
        ) STRICT;
CREATE TABLE probe_change (
            id INTEGER PRIMARY KEY AUTOINCREMENT,
            kiln TEXT NOT NULL,
            channel TEXT NOT NULL,
            label TEXT,
            after_firing_n INTEGER NOT NULL
        ) STRICT;
CREATE TABLE reading (
            n INTEGER PRIMARY KEY,
            elapsed_s REAL NOT NULL,
            temps_c TEXT NOT NULL,
            faults TEXT
        ) STRICT;
INSERT INTO "reading" VALUES(4294967296,0.0,'[20.0,null]',NULL);
INSERT INTO "reading" VALUES(4294967297,1.0,'[20.333333333333332,null]',NULL);
INSERT INTO "reading" VALUES(4294967298,2.0,'[20.666666666666668,null]',NULL);
CREATE TABLE summary (
            firing_n INTEGER PRIMARY KEY REFERENCES firing (n),
            version INTEGER NOT NULL,
            mark TEXT NOT NULL,
            readings INTEGER NOT NULL,
            first_s REAL NOT NULL,
            last_s REAL NOT NULL,
            peak_c REAL,
            cone TEXT,
            line TEXT NOT NULL CHECK (json_valid(line)),
            overview BLOB NOT NULL
        , trace BLOB, works TEXT CHECK (works IS NULL OR json_valid(works)), point TEXT CHECK (point IS NULL OR json_valid(point))) STRICT;
INSERT INTO "summary" VALUES(2,3,'1 notes, 0 of 0 looks',10,0.0,9.0,20.8,NULL,'{"readings":10,"first_s":0.0,"last_s":9.0,"lead":"top","channels":[{"name":"top","values":9,"peak_c":20.8,"cone":null,"next_cone":"022","toward_next":0.0,"offset_c":0.0},{"name":"bottom","values":1,"peak_c":null,"cone":null,"next_cone":"022","toward_next":0.0,"offset_c":0.0}],"facts":{"channels":["top","bottom"],"first_s":0.0,"last_s":9.0,"readings":10,"start_c":20.7751,"is_whole":false,"plan":null,"steps":[],"peak":{"temp_c":20.7751,"at_s":3.0,"hold_from_s":3.0,"hold_to_s":3.0,"hold_s":0.0,"level_c":20.7751,"rate_c_per_h":null,"channels_c":{"top":20.7751}},"above":[],"bands":[],"cooling":null,"evenness":null,"cones":[{"channel":"top","cone":null,"place":null,"next_cone":"022","toward_next":0.0,"work":{},"down_at_s":{},"coolest":null,"hottest":null,"offset_c":0.0,"seen_place_low":null,"seen_place_high":null},{"channel":"bottom","cone":null,"place":null,"next_cone":"022","toward_next":0.0,"work":{},"down_at_s":{},"coolest":null,"hottest":null,"offset_c":0.0,"seen_place_low":null,"seen_place_high":null}],"looks":[],"reduction":null,"troubles":[{"kind":"stall","severity":"warning","channel":null,"began_s":60.0,"ended_s":null,"temp_c":20.7751,"message":"The kiln has stopped climbing (1): look at the elements.","data":{"rate_c_per_h":1.25}}],"gaps":[],"energy":null}}',X'01789C5BC6C0C050AD94A7646568A0A3949C9F539A9B57AC64155DAD545C925A0014D5514A4A2C4E55B202CA9667A69464808572338B8B33F3D281A2B53A7095060630B5460606D8951B222B87A936B434C4AAD8B2365647292DB134A704E4A0D85A06462400E530282A3929292A2A29027DC1C8000100CC8C3463',X'01789CBBC8C0C050AD94A76465A8A3949C9F539A9B57AC64155DAD545C925A00164C4A2C4E55B232D6512ACF4C29C9000BE566161767E6A52B5919D4EAC0551A18C0D41A19985B505B394CB101569586B5B13A4A6989A5392520C7C7D602FDC4000088204061','{"climb":{},"hold":{},"cooling":{}}','{"firing":"2026-11-20-c1d2","started":"2026-11-20T08:00:00+00:00","plan":null,"is_complete":false,"lasted_s":null,"late_s":null,"peak_c":20.7751,"peak_apart_c":null,"cones_apart":null,"losses":1,"kwh":null,"heating":null,"apart":{}}');
CREATE UNIQUE INDEX note_by_client_id ON note (firing_n, client_id);
CREATE INDEX alert_by_firing ON alert (firing_n);
CREATE UNIQUE INDEX observation_by_client_id ON observation (firing_n, client_id);
CREATE INDEX offset_change_by_kiln ON offset_change (kiln, channel);
CREATE INDEX offset_change_by_firing ON offset_change (firing_n);
CREATE INDEX probe_change_by_kiln ON probe_change (kiln, channel);
CREATE INDEX outbox_waiting ON outbox (destination, id) WHERE is_sent = 0;
CREATE UNIQUE INDEX account_by_client_id ON account (firing_n, client_id);
CREATE INDEX finding_by_firing ON finding (firing_n);
CREATE INDEX finding_by_key ON finding (key);
CREATE UNIQUE INDEX photo_by_client_id ON photo (firing_n, client_id);
DELETE FROM "sqlite_sequence";
INSERT INTO "sqlite_sequence" VALUES('outbox',4);
INSERT INTO "sqlite_sequence" VALUES('observation',1);
INSERT INTO "sqlite_sequence" VALUES('offset_change',1);
INSERT INTO "sqlite_sequence" VALUES('note',1);
INSERT INTO "sqlite_sequence" VALUES('audit',1);
INSERT INTO "sqlite_sequence" VALUES('account',1);
INSERT INTO "sqlite_sequence" VALUES('finding',1);
COMMIT;
PRAGMA application_id = 1936750952;
PRAGMA user_version = 7;
