-- The hub: one PostgreSQL database for the benches of one shop or several. Made by inspect_tui/hub/ddl.py.
-- A bench may add and read what is of its own shop; nobody may change or delete.

CREATE SCHEMA hub;
CREATE TABLE hub.version (number integer NOT NULL);
INSERT INTO hub.version VALUES (1);
CREATE TABLE hub.shop (id integer GENERATED ALWAYS AS IDENTITY PRIMARY KEY, name text NOT NULL UNIQUE);
CREATE TABLE hub.login (role name PRIMARY KEY, shop_id integer NOT NULL REFERENCES hub.shop(id));

-- Whose rows a login may see and add: looked up by who logged in, never by a setting that a client can change.
CREATE FUNCTION hub.my_shop() RETURNS integer LANGUAGE sql STABLE SECURITY DEFINER
  SET search_path = pg_catalog AS $$ SELECT l.shop_id FROM hub.login l WHERE l.role = session_user $$;
CREATE FUNCTION hub.my_shop_name() RETURNS text LANGUAGE sql STABLE SECURITY DEFINER
  SET search_path = pg_catalog AS $$ SELECT s.name FROM hub.shop s WHERE s.id = hub.my_shop() $$;

CREATE TABLE hub.entry (
  of_shop integer NOT NULL DEFAULT hub.my_shop(),
  device_id bytea NOT NULL CHECK (length(device_id) = 16),
  seq bigint NOT NULL CHECK (seq > 0),
  kind integer NOT NULL,
  fmt integer NOT NULL,
  id bytea NOT NULL CHECK (length(id) = 16),
  at_us bigint NOT NULL,
  tz_min integer NOT NULL,
  by_id bytea,
  hash bytea NOT NULL CHECK (length(hash) = 32),
  PRIMARY KEY (device_id, seq)
) PARTITION BY HASH (device_id);
CREATE TABLE hub.entry_0 PARTITION OF hub.entry FOR VALUES WITH (MODULUS 8, REMAINDER 0);
CREATE TABLE hub.entry_1 PARTITION OF hub.entry FOR VALUES WITH (MODULUS 8, REMAINDER 1);
CREATE TABLE hub.entry_2 PARTITION OF hub.entry FOR VALUES WITH (MODULUS 8, REMAINDER 2);
CREATE TABLE hub.entry_3 PARTITION OF hub.entry FOR VALUES WITH (MODULUS 8, REMAINDER 3);
CREATE TABLE hub.entry_4 PARTITION OF hub.entry FOR VALUES WITH (MODULUS 8, REMAINDER 4);
CREATE TABLE hub.entry_5 PARTITION OF hub.entry FOR VALUES WITH (MODULUS 8, REMAINDER 5);
CREATE TABLE hub.entry_6 PARTITION OF hub.entry FOR VALUES WITH (MODULUS 8, REMAINDER 6);
CREATE TABLE hub.entry_7 PARTITION OF hub.entry FOR VALUES WITH (MODULUS 8, REMAINDER 7);
CREATE INDEX entry_id ON hub.entry (id);

CREATE TABLE hub.picture (
  of_shop integer NOT NULL DEFAULT hub.my_shop(),
  sha256 text NOT NULL CHECK (length(sha256) = 64),
  content bytea NOT NULL CHECK (length(content) <= 26214400),
  PRIMARY KEY (of_shop, sha256)
);

CREATE TABLE hub."device" (
  of_shop integer NOT NULL DEFAULT hub.my_shop(),
  "id" bytea NOT NULL,
  "bench" text NOT NULL,
  "shop_id" bytea NOT NULL,
  "parent_id" bytea,
  "parent_seq" bigint,
  "why" text NOT NULL,
  "program" text NOT NULL,
  PRIMARY KEY (id)
);

CREATE TABLE hub."job" (
  of_shop integer NOT NULL DEFAULT hub.my_shop(),
  "id" bytea NOT NULL,
  "of_id" bytea NOT NULL,
  "replaces_id" bytea,
  "number" text NOT NULL,
  "name" text NOT NULL,
  "alloy" text,
  "construction" text,
  "customer_ref" text,
  "rule" text NOT NULL,
  "a_x" double precision NOT NULL,
  "a_y" double precision NOT NULL,
  "a_z" double precision NOT NULL,
  "ua_x" double precision NOT NULL,
  "ua_y" double precision NOT NULL,
  "ua_z" double precision NOT NULL,
  "a_source" text NOT NULL,
  "tool_share" double precision NOT NULL,
  "tool_band" text,
  "customer" text,
  "part_no" text,
  "order_no" text,
  "order_quantity" bigint,
  "foundry" text,
  PRIMARY KEY (id)
);

CREATE TABLE hub."job_state" (
  of_shop integer NOT NULL DEFAULT hub.my_shop(),
  "id" bytea NOT NULL,
  "job_id" bytea NOT NULL,
  "state" text NOT NULL,
  "why" text,
  PRIMARY KEY (id)
);

CREATE TABLE hub."drawing_revision" (
  of_shop integer NOT NULL DEFAULT hub.my_shop(),
  "id" bytea NOT NULL,
  "job_of_id" bytea NOT NULL,
  "number" text NOT NULL,
  "rev" text NOT NULL,
  "issued_on" text,
  "default_band" text,
  "corrects_id" bytea,
  "why" text,
  PRIMARY KEY (id)
);

CREATE TABLE hub."feature" (
  of_shop integer NOT NULL DEFAULT hub.my_shop(),
  "id" bytea NOT NULL,
  "revision_id" bytea NOT NULL,
  "same_as_id" bytea,
  "balloon" text NOT NULL,
  "name" text NOT NULL,
  "quantity" text NOT NULL,
  "axis" text NOT NULL,
  "dir_x" double precision,
  "dir_y" double precision,
  "dir_z" double precision,
  "nominal" double precision NOT NULL,
  "lower" double precision,
  "upper" double precision,
  "band_source" text NOT NULL,
  "scale" text NOT NULL,
  "machined" smallint NOT NULL,
  "draft_deg" double precision NOT NULL,
  "draft_h_mm" double precision NOT NULL,
  "a" double precision,
  "ua" double precision,
  "note" text,
  "ord" bigint NOT NULL,
  "raw_lower" double precision,
  "raw_upper" double precision,
  "raw_source" text,
  "at_x" double precision,
  "at_y" double precision,
  "at_z" double precision,
  "nominal_known" smallint,
  "sheet" text,
  "zone" text,
  "characteristic" text,
  PRIMARY KEY (id)
);

CREATE TABLE hub."feature_end" (
  of_shop integer NOT NULL DEFAULT hub.my_shop(),
  "id" bytea NOT NULL,
  "feature_id" bytea NOT NULL,
  "which" text NOT NULL,
  "core_id" bytea,
  "half" text,
  "facing" bigint NOT NULL,
  "coord_mm" double precision,
  "stock_mm" double precision NOT NULL,
  "coat_mm" double precision NOT NULL,
  "coat_said" smallint,
  PRIMARY KEY (id)
);

CREATE TABLE hub."core" (
  of_shop integer NOT NULL DEFAULT hub.my_shop(),
  "id" bytea NOT NULL,
  "of_id" bytea NOT NULL,
  "replaces_id" bytea,
  "job_of_id" bytea NOT NULL,
  "number" bigint NOT NULL,
  "name" text NOT NULL,
  "makes_surface" smallint NOT NULL,
  "set_order" bigint,
  "volume_dm3" double precision,
  PRIMARY KEY (id)
);

CREATE TABLE hub."tool" (
  of_shop integer NOT NULL DEFAULT hub.my_shop(),
  "id" bytea NOT NULL,
  "of_id" bytea NOT NULL,
  "replaces_id" bytea,
  "job_of_id" bytea NOT NULL,
  "kind" text NOT NULL,
  "label" text NOT NULL,
  "core_id" bytea,
  "material" text NOT NULL,
  "expansion_per_c" double precision,
  "made_from_id" bytea,
  "resin_r" double precision,
  "resin_u" double precision,
  "second_a" double precision,
  "second_u" double precision,
  PRIMARY KEY (id)
);

CREATE TABLE hub."tool_feature" (
  of_shop integer NOT NULL DEFAULT hub.my_shop(),
  "id" bytea NOT NULL,
  "of_id" bytea NOT NULL,
  "replaces_id" bytea,
  "tool_id" bytea NOT NULL,
  "feature_id" bytea NOT NULL,
  "sense" text NOT NULL,
  "lower" double precision,
  "upper" double precision,
  "band_source" text NOT NULL,
  PRIMARY KEY (id)
);

CREATE TABLE hub."chain_step" (
  of_shop integer NOT NULL DEFAULT hub.my_shop(),
  "id" bytea NOT NULL,
  "tool_feature_id" bytea NOT NULL,
  "ord" bigint NOT NULL,
  "kind" text NOT NULL,
  "scale" double precision,
  "offset_mm" double precision,
  "u" double precision NOT NULL,
  "source" text NOT NULL,
  PRIMARY KEY (id)
);

CREATE TABLE hub."lot" (
  of_shop integer NOT NULL DEFAULT hub.my_shop(),
  "id" bytea NOT NULL,
  "job_of_id" bytea NOT NULL,
  "label" text NOT NULL,
  "heat" text,
  "poured_on" text,
  "quantity" bigint,
  PRIMARY KEY (id)
);

CREATE TABLE hub."item" (
  of_shop integer NOT NULL DEFAULT hub.my_shop(),
  "id" bytea NOT NULL,
  "job_of_id" bytea NOT NULL,
  "kind" text NOT NULL,
  "serial" text NOT NULL,
  "lot_id" bytea,
  "core_id" bytea,
  "cavity" text,
  "material" text,
  "expansion_per_c" double precision,
  PRIMARY KEY (id)
);

CREATE TABLE hub."person" (
  of_shop integer NOT NULL DEFAULT hub.my_shop(),
  "id" bytea NOT NULL,
  "of_id" bytea NOT NULL,
  "replaces_id" bytea,
  "initials" text NOT NULL,
  "name" text,
  "role" text NOT NULL,
  "active" smallint NOT NULL,
  "pin_hash" text,
  PRIMARY KEY (id)
);

CREATE TABLE hub."instrument" (
  of_shop integer NOT NULL DEFAULT hub.my_shop(),
  "id" bytea NOT NULL,
  "of_id" bytea NOT NULL,
  "replaces_id" bytea,
  "label" text NOT NULL,
  "kind" text NOT NULL,
  "serial" text,
  "unit" text NOT NULL,
  "resolution" double precision NOT NULL,
  "range_lo" double precision NOT NULL,
  "range_hi" double precision NOT NULL,
  "rule_scale" double precision NOT NULL,
  "expansion_per_c" double precision,
  "jaw_mm" double precision,
  PRIMARY KEY (id)
);

CREATE TABLE hub."calibration" (
  of_shop integer NOT NULL DEFAULT hub.my_shop(),
  "id" bytea NOT NULL,
  "instrument_of_id" bytea NOT NULL,
  "done_on" text NOT NULL,
  "due_on" text,
  "result" text NOT NULL,
  "u95_mm" double precision NOT NULL,
  "k" double precision NOT NULL,
  "error_mm" double precision,
  "reference" text NOT NULL,
  PRIMARY KEY (id)
);

CREATE TABLE hub."session" (
  of_shop integer NOT NULL DEFAULT hub.my_shop(),
  "id" bytea NOT NULL,
  "kind" text NOT NULL,
  "job_of_id" bytea,
  "revision_id" bytea,
  "title" text,
  PRIMARY KEY (id)
);

CREATE TABLE hub."setup" (
  of_shop integer NOT NULL DEFAULT hub.my_shop(),
  "id" bytea NOT NULL,
  "session_id" bytea NOT NULL,
  "person_id" bytea NOT NULL,
  "instrument_id" bytea NOT NULL,
  "calibration_id" bytea,
  "work_c" double precision,
  "instrument_c" double precision,
  "moisture" double precision,
  "clock_doubt" smallint NOT NULL,
  "state" text,
  "on_date" text,
  PRIMARY KEY (id)
);

CREATE TABLE hub."reading" (
  of_shop integer NOT NULL DEFAULT hub.my_shop(),
  "id" bytea NOT NULL,
  "setup_id" bytea NOT NULL,
  "feature_id" bytea NOT NULL,
  "item_id" bytea,
  "tool_id" bytea,
  "tool_feature_id" bytea,
  "rep" bigint NOT NULL,
  "value" double precision NOT NULL,
  "typed" text NOT NULL,
  "typed_unit" text NOT NULL,
  "slip" text NOT NULL,
  PRIMARY KEY (id)
) PARTITION BY RANGE (id);

CREATE TABLE hub."supersede" (
  of_shop integer NOT NULL DEFAULT hub.my_shop(),
  "id" bytea NOT NULL,
  "target_id" bytea NOT NULL,
  "replacement_id" bytea,
  "settles_id" bytea,
  "reason" text NOT NULL,
  "why" text NOT NULL,
  PRIMARY KEY (id)
);

CREATE TABLE hub."note" (
  of_shop integer NOT NULL DEFAULT hub.my_shop(),
  "id" bytea NOT NULL,
  "about_kind" bigint NOT NULL,
  "about_id" bytea NOT NULL,
  "text" text NOT NULL,
  PRIMARY KEY (id)
);

CREATE TABLE hub."gauge_study" (
  of_shop integer NOT NULL DEFAULT hub.my_shop(),
  "id" bytea NOT NULL,
  "instrument_of_id" bytea NOT NULL,
  "design" text NOT NULL,
  "title" text NOT NULL,
  "job_of_id" bytea,
  "feature_id" bytea,
  "quantity" text,
  "trials" bigint NOT NULL,
  "seed" bigint NOT NULL,
  "band_mm" double precision,
  PRIMARY KEY (id)
);

CREATE TABLE hub."gauge_part" (
  of_shop integer NOT NULL DEFAULT hub.my_shop(),
  "id" bytea NOT NULL,
  "study_id" bytea NOT NULL,
  "number" bigint NOT NULL,
  "label" text NOT NULL,
  "reference_mm" double precision,
  "u95_mm" double precision,
  PRIMARY KEY (id)
);

CREATE TABLE hub."gauge_person" (
  of_shop integer NOT NULL DEFAULT hub.my_shop(),
  "id" bytea NOT NULL,
  "study_id" bytea NOT NULL,
  "number" bigint NOT NULL,
  "person_of_id" bytea NOT NULL,
  PRIMARY KEY (id)
);

CREATE TABLE hub."gauge_trial" (
  of_shop integer NOT NULL DEFAULT hub.my_shop(),
  "id" bytea NOT NULL,
  "study_id" bytea NOT NULL,
  "setup_id" bytea NOT NULL,
  "part_id" bytea NOT NULL,
  "trial" bigint NOT NULL,
  "value" double precision NOT NULL,
  "typed" text NOT NULL,
  "typed_unit" text NOT NULL,
  "instead_of_id" bytea,
  PRIMARY KEY (id)
);

CREATE TABLE hub."gauge_check" (
  of_shop integer NOT NULL DEFAULT hub.my_shop(),
  "id" bytea NOT NULL,
  "setup_id" bytea NOT NULL,
  "reference" text NOT NULL,
  "reference_mm" double precision NOT NULL,
  "u95_mm" double precision NOT NULL,
  "value" double precision NOT NULL,
  "typed" text NOT NULL,
  "typed_unit" text NOT NULL,
  "instead_of_id" bytea,
  PRIMARY KEY (id)
);

CREATE TABLE hub."instrument_bias" (
  of_shop integer NOT NULL DEFAULT hub.my_shop(),
  "id" bytea NOT NULL,
  "instrument_of_id" bytea NOT NULL,
  "from_on" text NOT NULL,
  "to_on" text,
  "bias_mm" double precision NOT NULL,
  "u_mm" double precision NOT NULL,
  "why" text NOT NULL,
  "found_from" text NOT NULL,
  "instead_of_id" bytea,
  PRIMARY KEY (id)
);

CREATE TABLE hub."fit" (
  of_shop integer NOT NULL DEFAULT hub.my_shop(),
  "id" bytea NOT NULL,
  "of_id" bytea NOT NULL,
  "replaces_id" bytea,
  "job_of_id" bytea NOT NULL,
  "label" text NOT NULL,
  "place" text,
  "kind" text NOT NULL,
  "inner_core_id" bytea,
  "inner_half" text,
  "outer_core_id" bytea,
  "outer_half" text,
  "inner_feature_id" bytea,
  "outer_feature_id" bytea,
  "gap_feature_id" bytea,
  "axis" text NOT NULL,
  "way_in" text NOT NULL,
  "points" text,
  "clear_min_mm" double precision NOT NULL,
  "clear_max_mm" double precision NOT NULL,
  "band_source" text NOT NULL,
  "holds" text,
  "lift_mm" double precision,
  "at_x" double precision,
  "at_y" double precision,
  "at_z" double precision,
  "blocked_by" text,
  "mark" text,
  "count" bigint NOT NULL,
  "active" smallint NOT NULL,
  "note" text,
  PRIMARY KEY (id)
);

CREATE TABLE hub."stack" (
  of_shop integer NOT NULL DEFAULT hub.my_shop(),
  "id" bytea NOT NULL,
  "of_id" bytea NOT NULL,
  "replaces_id" bytea,
  "job_of_id" bytea NOT NULL,
  "label" text NOT NULL,
  "name" text NOT NULL,
  "feature_id" bytea,
  "lower" double precision,
  "upper" double precision,
  "active" smallint NOT NULL,
  "note" text,
  PRIMARY KEY (id)
);

CREATE TABLE hub."stack_member" (
  of_shop integer NOT NULL DEFAULT hub.my_shop(),
  "id" bytea NOT NULL,
  "stack_id" bytea NOT NULL,
  "ord" bigint NOT NULL,
  "name" text NOT NULL,
  "sense" bigint NOT NULL,
  "size_mm" double precision NOT NULL,
  "plus_mm" double precision NOT NULL,
  "minus_mm" double precision NOT NULL,
  "shape" text NOT NULL,
  "tool" text,
  "fit_id" bytea,
  "feature_id" bytea,
  PRIMARY KEY (id)
);

CREATE TABLE hub."passage" (
  of_shop integer NOT NULL DEFAULT hub.my_shop(),
  "id" bytea NOT NULL,
  "of_id" bytea NOT NULL,
  "replaces_id" bytea,
  "job_of_id" bytea NOT NULL,
  "label" text NOT NULL,
  "name" text NOT NULL,
  "formula" text NOT NULL,
  "unit" text,
  "rated" double precision,
  "minimum" double precision,
  "exponent" double precision NOT NULL,
  "active" smallint NOT NULL,
  "note" text,
  PRIMARY KEY (id)
);

CREATE TABLE hub."attachment" (
  of_shop integer NOT NULL DEFAULT hub.my_shop(),
  "id" bytea NOT NULL,
  "sha256" text NOT NULL,
  "bytes" bigint NOT NULL,
  "media" text NOT NULL,
  "width_px" bigint NOT NULL,
  "height_px" bigint NOT NULL,
  "shown_name" text NOT NULL,
  PRIMARY KEY (id)
);

CREATE TABLE hub."attachment_use" (
  of_shop integer NOT NULL DEFAULT hub.my_shop(),
  "id" bytea NOT NULL,
  "of_id" bytea NOT NULL,
  "replaces_id" bytea,
  "attachment_id" bytea NOT NULL,
  "about_kind" bigint NOT NULL,
  "about_id" bytea NOT NULL,
  "caption" text,
  "ord" bigint NOT NULL,
  "active" smallint NOT NULL,
  "balloons" text,
  PRIMARY KEY (id)
);

CREATE TABLE hub."core_detail" (
  of_shop integer NOT NULL DEFAULT hub.my_shop(),
  "id" bytea NOT NULL,
  "of_id" bytea NOT NULL,
  "replaces_id" bytea,
  "core_of_id" bytea NOT NULL,
  "set_order" bigint,
  "in_metal_dm3" double precision,
  "print_area_mm2" double precision,
  "chaplets" bigint,
  "chaplet_note" text,
  "vents" text,
  "lift_points" text,
  "tol_mm" double precision,
  "template" text,
  "check_feature_id" bytea,
  "check_name" text,
  "check_lower" double precision,
  "check_upper" double precision,
  "caution" text,
  "note" text,
  "low_end" text,
  "high_end" text,
  "ends_axis" text,
  PRIMARY KEY (id)
);

CREATE TABLE hub."tool_detail" (
  of_shop integer NOT NULL DEFAULT hub.my_shop(),
  "id" bytea NOT NULL,
  "of_id" bytea NOT NULL,
  "replaces_id" bytea,
  "tool_of_id" bytea NOT NULL,
  "loose_pieces" bigint,
  "dowels" bigint,
  "weight_kg" double precision,
  "mark" text,
  "owner" text,
  "grain" text,
  "lift_points" text,
  "note" text,
  PRIMARY KEY (id)
);

CREATE TABLE hub."shipment" (
  of_shop integer NOT NULL DEFAULT hub.my_shop(),
  "id" bytea NOT NULL,
  "job_of_id" bytea NOT NULL,
  "way" text NOT NULL,
  "out_id" bytea,
  "to_whom" text NOT NULL,
  "done_on" text NOT NULL,
  "condition" text,
  "note" text,
  "why_open" text,
  PRIMARY KEY (id)
);

CREATE TABLE hub."shipment_line" (
  of_shop integer NOT NULL DEFAULT hub.my_shop(),
  "id" bytea NOT NULL,
  "shipment_id" bytea NOT NULL,
  "ord" bigint NOT NULL,
  "tool_of_id" bytea,
  "what" text NOT NULL,
  "count" bigint NOT NULL,
  "loose_pieces" bigint,
  "condition" text,
  PRIMARY KEY (id)
);

CREATE TABLE hub."report_snapshot" (
  of_shop integer NOT NULL DEFAULT hub.my_shop(),
  "id" bytea NOT NULL,
  "paper" text NOT NULL,
  "job_of_id" bytea NOT NULL,
  "lot_id" bytea,
  "frontier" text NOT NULL,
  "rules" text NOT NULL,
  "program" text NOT NULL,
  "tables_sha256" text NOT NULL,
  "settings" text NOT NULL,
  "output_sha256" text NOT NULL,
  "output" text NOT NULL,
  PRIMARY KEY (id)
);

CREATE TABLE hub."import_mapping" (
  of_shop integer NOT NULL DEFAULT hub.my_shop(),
  "id" bytea NOT NULL,
  "job_of_id" bytea,
  "signature" text NOT NULL,
  "title" text NOT NULL,
  "settings" text NOT NULL,
  PRIMARY KEY (id)
);

CREATE TABLE hub."import_file" (
  of_shop integer NOT NULL DEFAULT hub.my_shop(),
  "id" bytea NOT NULL,
  "sha256" text NOT NULL,
  "shown_name" text NOT NULL,
  "job_of_id" bytea NOT NULL,
  "session_id" bytea,
  "mapping_id" bytea,
  "readings" bigint NOT NULL,
  PRIMARY KEY (id)
);

CREATE TABLE hub."not_measurable" (
  of_shop integer NOT NULL DEFAULT hub.my_shop(),
  "id" bytea NOT NULL,
  "feature_id" bytea NOT NULL,
  "item_id" bytea,
  "reason" text NOT NULL,
  "holds" smallint NOT NULL,
  PRIMARY KEY (id)
);

CREATE TABLE hub."realigned" (
  of_shop integer NOT NULL DEFAULT hub.my_shop(),
  "id" bytea NOT NULL,
  "item_id" bytea NOT NULL,
  "axis" text NOT NULL,
  "along" text NOT NULL,
  "pivot_mm" double precision NOT NULL,
  "slope" double precision NOT NULL,
  "u_slope" double precision NOT NULL,
  "why" text NOT NULL,
  "holds" smallint NOT NULL,
  PRIMARY KEY (id)
);

CREATE TABLE hub."datum_target" (
  of_shop integer NOT NULL DEFAULT hub.my_shop(),
  "id" bytea NOT NULL,
  "job_of_id" bytea NOT NULL,
  "label" text NOT NULL,
  "name" text,
  "axis" text NOT NULL,
  "x_mm" double precision,
  "y_mm" double precision,
  "z_mm" double precision,
  "holds" smallint NOT NULL,
  PRIMARY KEY (id)
);

CREATE TABLE hub."cut_accepted" (
  of_shop integer NOT NULL DEFAULT hub.my_shop(),
  "id" bytea NOT NULL,
  "job_of_id" bytea NOT NULL,
  "lot_id" bytea,
  "tool_id" bytea,
  "tool" text NOT NULL,
  "cause" text NOT NULL,
  "axis" text NOT NULL,
  "change_mm" double precision NOT NULL,
  "low_mm" double precision NOT NULL,
  "high_mm" double precision NOT NULL,
  "words" text NOT NULL,
  "casting_words" text,
  PRIMARY KEY (id)
);

CREATE TABLE hub."cut_promise" (
  of_shop integer NOT NULL DEFAULT hub.my_shop(),
  "id" bytea NOT NULL,
  "cut_id" bytea NOT NULL,
  "feature_id" bytea NOT NULL,
  "tool_feature_id" bytea,
  "before_mm" double precision NOT NULL,
  "promised_mm" double precision NOT NULL,
  "u_mm" double precision NOT NULL,
  PRIMARY KEY (id)
);

CREATE TABLE hub."tool_count" (
  of_shop integer NOT NULL DEFAULT hub.my_shop(),
  "id" bytea NOT NULL,
  "of_id" bytea NOT NULL,
  "replaces_id" bytea,
  "tool_of_id" bytea NOT NULL,
  "way" text NOT NULL,
  "count" bigint NOT NULL,
  "on_date" text NOT NULL,
  "lot_id" bytea,
  "source" text NOT NULL,
  "holds" smallint NOT NULL,
  "note" text,
  PRIMARY KEY (id)
);

CREATE TABLE hub."tool_repair" (
  of_shop integer NOT NULL DEFAULT hub.my_shop(),
  "id" bytea NOT NULL,
  "of_id" bytea NOT NULL,
  "replaces_id" bytea,
  "tool_of_id" bytea NOT NULL,
  "feature_id" bytea,
  "core_id" bytea,
  "action" text NOT NULL,
  "amount_mm" double precision,
  "done_on" text NOT NULL,
  "at_count" bigint,
  "who" text,
  "what" text NOT NULL,
  "holds" smallint NOT NULL,
  PRIMARY KEY (id)
);

CREATE TABLE hub."tool_state" (
  of_shop integer NOT NULL DEFAULT hub.my_shop(),
  "id" bytea NOT NULL,
  "tool_of_id" bytea NOT NULL,
  "state" text NOT NULL,
  "since_on" text NOT NULL,
  "why" text,
  PRIMARY KEY (id)
);

CREATE TABLE hub."wear_limit" (
  of_shop integer NOT NULL DEFAULT hub.my_shop(),
  "id" bytea NOT NULL,
  "of_id" bytea NOT NULL,
  "replaces_id" bytea,
  "tool_of_id" bytea NOT NULL,
  "feature_id" bytea NOT NULL,
  "lower" double precision,
  "upper" double precision,
  "why" text NOT NULL,
  "holds" smallint NOT NULL,
  PRIMARY KEY (id)
);

CREATE TABLE hub."item_weight" (
  of_shop integer NOT NULL DEFAULT hub.my_shop(),
  "id" bytea NOT NULL,
  "item_id" bytea NOT NULL,
  "weight_kg" double precision NOT NULL,
  "u95_kg" double precision,
  PRIMARY KEY (id)
);

CREATE TABLE hub."wall_area" (
  of_shop integer NOT NULL DEFAULT hub.my_shop(),
  "id" bytea NOT NULL,
  "of_id" bytea NOT NULL,
  "replaces_id" bytea,
  "job_of_id" bytea NOT NULL,
  "area_m2" double precision NOT NULL,
  "density" double precision NOT NULL,
  "why" text NOT NULL,
  PRIMARY KEY (id)
);

CREATE TABLE hub."instrument_state" (
  of_shop integer NOT NULL DEFAULT hub.my_shop(),
  "id" bytea NOT NULL,
  "instrument_of_id" bytea NOT NULL,
  "state" text NOT NULL,
  "since_on" text NOT NULL,
  "why" text,
  PRIMARY KEY (id)
);

CREATE TABLE hub."core_body" (
  of_shop integer NOT NULL DEFAULT hub.my_shop(),
  "id" bytea NOT NULL,
  "of_id" bytea NOT NULL,
  "replaces_id" bytea,
  "core_of_id" bytea NOT NULL,
  "ord" bigint NOT NULL,
  "x0" double precision NOT NULL,
  "x1" double precision NOT NULL,
  "y0" double precision NOT NULL,
  "y1" double precision NOT NULL,
  "z0" double precision NOT NULL,
  "z1" double precision NOT NULL,
  "active" smallint NOT NULL,
  "note" text,
  PRIMARY KEY (id)
);

CREATE TABLE hub."mould_outline" (
  of_shop integer NOT NULL DEFAULT hub.my_shop(),
  "id" bytea NOT NULL,
  "of_id" bytea NOT NULL,
  "replaces_id" bytea,
  "job_of_id" bytea NOT NULL,
  "x0" double precision NOT NULL,
  "x1" double precision NOT NULL,
  "y0" double precision NOT NULL,
  "y1" double precision NOT NULL,
  "z0" double precision NOT NULL,
  "z1" double precision NOT NULL,
  "active" smallint NOT NULL,
  PRIMARY KEY (id)
);

CREATE TABLE hub."parting" (
  of_shop integer NOT NULL DEFAULT hub.my_shop(),
  "id" bytea NOT NULL,
  "of_id" bytea NOT NULL,
  "replaces_id" bytea,
  "job_of_id" bytea NOT NULL,
  "axis" text NOT NULL,
  "active" smallint NOT NULL,
  "note" text,
  PRIMARY KEY (id)
);

CREATE TABLE hub."parting_step" (
  of_shop integer NOT NULL DEFAULT hub.my_shop(),
  "id" bytea NOT NULL,
  "parting_id" bytea NOT NULL,
  "ord" bigint NOT NULL,
  "place_mm" double precision NOT NULL,
  "along" text,
  "from_mm" double precision,
  "to_mm" double precision,
  PRIMARY KEY (id)
);

CREATE TABLE hub."passage_point" (
  of_shop integer NOT NULL DEFAULT hub.my_shop(),
  "id" bytea NOT NULL,
  "passage_id" bytea NOT NULL,
  "ord" bigint NOT NULL,
  "area_mm2" double precision NOT NULL,
  "flow" double precision NOT NULL,
  PRIMARY KEY (id)
);

CREATE TABLE hub."withdrawal" (
  of_shop integer NOT NULL DEFAULT hub.my_shop(),
  "id" bytea NOT NULL,
  "about_kind" bigint NOT NULL,
  "about_id" bytea NOT NULL,
  "state" text NOT NULL,
  "why" text NOT NULL,
  PRIMARY KEY (id)
);

CREATE TABLE hub."same_thing" (
  of_shop integer NOT NULL DEFAULT hub.my_shop(),
  "id" bytea NOT NULL,
  "about_kind" bigint NOT NULL,
  "this_id" bytea NOT NULL,
  "that_id" bytea NOT NULL,
  "state" text NOT NULL,
  "why" text,
  PRIMARY KEY (id)
);

CREATE TABLE hub."instrument_profile" (
  of_shop integer NOT NULL DEFAULT hub.my_shop(),
  "id" bytea NOT NULL,
  "of_id" bytea NOT NULL,
  "replaces_id" bytea,
  "instrument_of_id" bytea NOT NULL,
  "prefix" text,
  "suffix" text,
  "unit_letters" text,
  "decimal_mark" text,
  "end_key" text,
  "request" text,
  "port" text,
  "speed" bigint,
  "pattern" text,
  "foot" text,
  PRIMARY KEY (id)
);

CREATE TABLE hub."renamed" (
  of_shop integer NOT NULL DEFAULT hub.my_shop(),
  "id" bytea NOT NULL,
  "about_kind" bigint NOT NULL,
  "about_id" bytea NOT NULL,
  "name" text NOT NULL,
  "heat" text,
  "poured_on" text,
  "quantity" bigint,
  "why" text NOT NULL,
  PRIMARY KEY (id)
);

CREATE TABLE hub."setting_answer" (
  of_shop integer NOT NULL DEFAULT hub.my_shop(),
  "id" bytea NOT NULL,
  "job_of_id" bytea NOT NULL,
  "core_of_id" bytea,
  "item_id" bytea,
  "step" bigint,
  "sort" text NOT NULL,
  "what" text NOT NULL,
  "result" text,
  "value" double precision,
  "typed" text,
  "lower" double precision,
  "upper" double precision,
  "words" text,
  "mould" text,
  "who" text,
  "on_date" text NOT NULL,
  PRIMARY KEY (id)
);

CREATE TABLE hub."put_aside" (
  of_shop integer NOT NULL DEFAULT hub.my_shop(),
  "id" bytea NOT NULL,
  "about_kind" bigint NOT NULL,
  "about_id" bytea NOT NULL,
  "for_id" bytea NOT NULL,
  PRIMARY KEY (id)
);

CREATE TABLE hub."shop_adopted" (
  of_shop integer NOT NULL DEFAULT hub.my_shop(),
  "id" bytea NOT NULL,
  "shop_id" bytea NOT NULL,
  "name" text NOT NULL,
  PRIMARY KEY (id)
);

CREATE TABLE hub."geometry" (
  of_shop integer NOT NULL DEFAULT hub.my_shop(),
  "id" bytea NOT NULL,
  "of_id" bytea NOT NULL,
  "replaces_id" bytea,
  "job_of_id" bytea NOT NULL,
  "balloon" text NOT NULL,
  "name" text NOT NULL,
  "what" text NOT NULL,
  "tolerance_mm" double precision NOT NULL,
  "round" smallint NOT NULL,
  "datums" text,
  "sizes" text,
  "datum_sizes" text,
  "state" text NOT NULL,
  "sheet" text,
  "zone" text,
  "characteristic" text,
  "note" text,
  "active" smallint NOT NULL,
  PRIMARY KEY (id)
);

CREATE TABLE hub."geometry_check" (
  of_shop integer NOT NULL DEFAULT hub.my_shop(),
  "id" bytea NOT NULL,
  "geometry_of_id" bytea NOT NULL,
  "item_id" bytea NOT NULL,
  "accepted" smallint NOT NULL,
  "method" text NOT NULL,
  "person_of_id" bytea NOT NULL,
  "on_date" text NOT NULL,
  "words" text,
  "holds" smallint NOT NULL,
  PRIMARY KEY (id)
);

CREATE TABLE hub."disposition" (
  of_shop integer NOT NULL DEFAULT hub.my_shop(),
  "id" bytea NOT NULL,
  "of_id" bytea NOT NULL,
  "replaces_id" bytea,
  "job_of_id" bytea NOT NULL,
  "lot_id" bytea,
  "feature_id" bytea,
  "geometry_of_id" bytea,
  "item_id" bytea,
  "state" text NOT NULL,
  "decision" text NOT NULL,
  "until_on" text,
  "quantity" bigint,
  "agreed_by" text,
  "reference" text,
  "why" text NOT NULL,
  "person_of_id" bytea NOT NULL,
  "on_date" text NOT NULL,
  "holds" smallint NOT NULL,
  PRIMARY KEY (id)
);

CREATE TABLE hub."article_sign" (
  of_shop integer NOT NULL DEFAULT hub.my_shop(),
  "id" bytea NOT NULL,
  "job_of_id" bytea NOT NULL,
  "lot_id" bytea,
  "act" text NOT NULL,
  "person_of_id" bytea NOT NULL,
  "on_date" text NOT NULL,
  "rests_on" text NOT NULL,
  "words" text,
  "holds" smallint NOT NULL,
  PRIMARY KEY (id)
);

CREATE TABLE hub."proving" (
  of_shop integer NOT NULL DEFAULT hub.my_shop(),
  "id" bytea NOT NULL,
  "of_id" bytea NOT NULL,
  "replaces_id" bytea,
  "job_of_id" bytea NOT NULL,
  "sort" text NOT NULL,
  "inside" text NOT NULL,
  "tool_of_id" bytea,
  "mould" text,
  "place" text,
  "who" text NOT NULL,
  "on_date" text NOT NULL,
  "order_followed" text,
  "order_said" text,
  "edition" text,
  "holds" smallint NOT NULL,
  "note" text,
  PRIMARY KEY (id)
);

CREATE TABLE hub."proving_line" (
  of_shop integer NOT NULL DEFAULT hub.my_shop(),
  "id" bytea NOT NULL,
  "proving_id" bytea NOT NULL,
  "ord" bigint NOT NULL,
  "sort" text NOT NULL,
  "core_of_id" bytea,
  "tool_of_id" bytea,
  "fit_of_id" bytea,
  "feature_id" bytea,
  "what" text,
  "result" text,
  "value" double precision,
  "typed" text,
  "typed_unit" text,
  "u_mm" double precision,
  "way" text,
  "instrument_of_id" bytea,
  "words" text,
  PRIMARY KEY (id)
);

CREATE TABLE hub.reading_2015 PARTITION OF hub.reading FOR VALUES FROM ('\x014aa2cab00000000000000000000000') TO ('\x0151fa7bdc0000000000000000000000');
CREATE TABLE hub.reading_2016 PARTITION OF hub.reading FOR VALUES FROM ('\x0151fa7bdc0000000000000000000000') TO ('\x01595753640000000000000000000000');
CREATE TABLE hub.reading_2017 PARTITION OF hub.reading FOR VALUES FROM ('\x01595753640000000000000000000000') TO ('\x0160af04900000000000000000000000');
CREATE TABLE hub.reading_2018 PARTITION OF hub.reading FOR VALUES FROM ('\x0160af04900000000000000000000000') TO ('\x016806b5bc0000000000000000000000');
CREATE TABLE hub.reading_2019 PARTITION OF hub.reading FOR VALUES FROM ('\x016806b5bc0000000000000000000000') TO ('\x016f5e66e80000000000000000000000');
CREATE TABLE hub.reading_2020 PARTITION OF hub.reading FOR VALUES FROM ('\x016f5e66e80000000000000000000000') TO ('\x0176bb3e700000000000000000000000');
CREATE TABLE hub.reading_2021 PARTITION OF hub.reading FOR VALUES FROM ('\x0176bb3e700000000000000000000000') TO ('\x017e12ef9c0000000000000000000000');
CREATE TABLE hub.reading_2022 PARTITION OF hub.reading FOR VALUES FROM ('\x017e12ef9c0000000000000000000000') TO ('\x01856aa0c80000000000000000000000');
CREATE TABLE hub.reading_2023 PARTITION OF hub.reading FOR VALUES FROM ('\x01856aa0c80000000000000000000000') TO ('\x018cc251f40000000000000000000000');
CREATE TABLE hub.reading_2024 PARTITION OF hub.reading FOR VALUES FROM ('\x018cc251f40000000000000000000000') TO ('\x01941f297c0000000000000000000000');
CREATE TABLE hub.reading_2025 PARTITION OF hub.reading FOR VALUES FROM ('\x01941f297c0000000000000000000000') TO ('\x019b76daa80000000000000000000000');
CREATE TABLE hub.reading_2026 PARTITION OF hub.reading FOR VALUES FROM ('\x019b76daa80000000000000000000000') TO ('\x01a2ce8bd40000000000000000000000');
CREATE TABLE hub.reading_2027 PARTITION OF hub.reading FOR VALUES FROM ('\x01a2ce8bd40000000000000000000000') TO ('\x01aa263d000000000000000000000000');
CREATE TABLE hub.reading_2028 PARTITION OF hub.reading FOR VALUES FROM ('\x01aa263d000000000000000000000000') TO ('\x01b18314880000000000000000000000');
CREATE TABLE hub.reading_2029 PARTITION OF hub.reading FOR VALUES FROM ('\x01b18314880000000000000000000000') TO ('\x01b8dac5b40000000000000000000000');
CREATE TABLE hub.reading_2030 PARTITION OF hub.reading FOR VALUES FROM ('\x01b8dac5b40000000000000000000000') TO ('\x01c03276e00000000000000000000000');
CREATE TABLE hub.reading_2031 PARTITION OF hub.reading FOR VALUES FROM ('\x01c03276e00000000000000000000000') TO ('\x01c78a280c0000000000000000000000');
CREATE TABLE hub.reading_2032 PARTITION OF hub.reading FOR VALUES FROM ('\x01c78a280c0000000000000000000000') TO ('\x01cee6ff940000000000000000000000');
CREATE TABLE hub.reading_2033 PARTITION OF hub.reading FOR VALUES FROM ('\x01cee6ff940000000000000000000000') TO ('\x01d63eb0c00000000000000000000000');
CREATE TABLE hub.reading_2034 PARTITION OF hub.reading FOR VALUES FROM ('\x01d63eb0c00000000000000000000000') TO ('\x01dd9661ec0000000000000000000000');
CREATE TABLE hub.reading_2035 PARTITION OF hub.reading FOR VALUES FROM ('\x01dd9661ec0000000000000000000000') TO ('\x01e4ee13180000000000000000000000');
CREATE TABLE hub.reading_2036 PARTITION OF hub.reading FOR VALUES FROM ('\x01e4ee13180000000000000000000000') TO ('\x01ec4aeaa00000000000000000000000');
CREATE TABLE hub.reading_2037 PARTITION OF hub.reading FOR VALUES FROM ('\x01ec4aeaa00000000000000000000000') TO ('\x01f3a29bcc0000000000000000000000');
CREATE TABLE hub.reading_2038 PARTITION OF hub.reading FOR VALUES FROM ('\x01f3a29bcc0000000000000000000000') TO ('\x01fafa4cf80000000000000000000000');
CREATE TABLE hub.reading_2039 PARTITION OF hub.reading FOR VALUES FROM ('\x01fafa4cf80000000000000000000000') TO ('\x020251fe240000000000000000000000');
CREATE TABLE hub.reading_2040 PARTITION OF hub.reading FOR VALUES FROM ('\x020251fe240000000000000000000000') TO ('\x0209aed5ac0000000000000000000000');
CREATE TABLE hub.reading_2041 PARTITION OF hub.reading FOR VALUES FROM ('\x0209aed5ac0000000000000000000000') TO ('\x02110686d80000000000000000000000');
CREATE TABLE hub.reading_2042 PARTITION OF hub.reading FOR VALUES FROM ('\x02110686d80000000000000000000000') TO ('\x02185e38040000000000000000000000');
CREATE TABLE hub.reading_2043 PARTITION OF hub.reading FOR VALUES FROM ('\x02185e38040000000000000000000000') TO ('\x021fb5e9300000000000000000000000');
CREATE TABLE hub.reading_2044 PARTITION OF hub.reading FOR VALUES FROM ('\x021fb5e9300000000000000000000000') TO ('\x022712c0b80000000000000000000000');
CREATE TABLE hub.reading_other PARTITION OF hub.reading DEFAULT;

REVOKE ALL ON SCHEMA hub FROM PUBLIC;
REVOKE ALL ON ALL FUNCTIONS IN SCHEMA hub FROM PUBLIC;
GRANT USAGE ON SCHEMA hub TO hub_bench, hub_read;
GRANT EXECUTE ON FUNCTION hub.my_shop(), hub.my_shop_name() TO hub_bench, hub_read;
GRANT SELECT ON hub.version TO hub_bench, hub_read;
GRANT SELECT ON hub.shop TO hub_read;

GRANT SELECT, INSERT ON hub."entry" TO hub_bench;
GRANT SELECT ON hub."entry" TO hub_read;
ALTER TABLE hub."entry" ENABLE ROW LEVEL SECURITY;
ALTER TABLE hub."entry" FORCE ROW LEVEL SECURITY;
CREATE POLICY own_shop ON hub."entry" TO hub_bench USING (of_shop = (SELECT hub.my_shop())) WITH CHECK (of_shop = (SELECT hub.my_shop()));
CREATE POLICY all_shops ON hub."entry" FOR SELECT TO hub_read USING (true);

GRANT SELECT, INSERT ON hub."picture" TO hub_bench;
GRANT SELECT ON hub."picture" TO hub_read;
ALTER TABLE hub."picture" ENABLE ROW LEVEL SECURITY;
ALTER TABLE hub."picture" FORCE ROW LEVEL SECURITY;
CREATE POLICY own_shop ON hub."picture" TO hub_bench USING (of_shop = (SELECT hub.my_shop())) WITH CHECK (of_shop = (SELECT hub.my_shop()));
CREATE POLICY all_shops ON hub."picture" FOR SELECT TO hub_read USING (true);

GRANT SELECT, INSERT ON hub."device" TO hub_bench;
GRANT SELECT ON hub."device" TO hub_read;
ALTER TABLE hub."device" ENABLE ROW LEVEL SECURITY;
ALTER TABLE hub."device" FORCE ROW LEVEL SECURITY;
CREATE POLICY own_shop ON hub."device" TO hub_bench USING (of_shop = (SELECT hub.my_shop())) WITH CHECK (of_shop = (SELECT hub.my_shop()));
CREATE POLICY all_shops ON hub."device" FOR SELECT TO hub_read USING (true);

GRANT SELECT, INSERT ON hub."job" TO hub_bench;
GRANT SELECT ON hub."job" TO hub_read;
ALTER TABLE hub."job" ENABLE ROW LEVEL SECURITY;
ALTER TABLE hub."job" FORCE ROW LEVEL SECURITY;
CREATE POLICY own_shop ON hub."job" TO hub_bench USING (of_shop = (SELECT hub.my_shop())) WITH CHECK (of_shop = (SELECT hub.my_shop()));
CREATE POLICY all_shops ON hub."job" FOR SELECT TO hub_read USING (true);

GRANT SELECT, INSERT ON hub."job_state" TO hub_bench;
GRANT SELECT ON hub."job_state" TO hub_read;
ALTER TABLE hub."job_state" ENABLE ROW LEVEL SECURITY;
ALTER TABLE hub."job_state" FORCE ROW LEVEL SECURITY;
CREATE POLICY own_shop ON hub."job_state" TO hub_bench USING (of_shop = (SELECT hub.my_shop())) WITH CHECK (of_shop = (SELECT hub.my_shop()));
CREATE POLICY all_shops ON hub."job_state" FOR SELECT TO hub_read USING (true);

GRANT SELECT, INSERT ON hub."drawing_revision" TO hub_bench;
GRANT SELECT ON hub."drawing_revision" TO hub_read;
ALTER TABLE hub."drawing_revision" ENABLE ROW LEVEL SECURITY;
ALTER TABLE hub."drawing_revision" FORCE ROW LEVEL SECURITY;
CREATE POLICY own_shop ON hub."drawing_revision" TO hub_bench USING (of_shop = (SELECT hub.my_shop())) WITH CHECK (of_shop = (SELECT hub.my_shop()));
CREATE POLICY all_shops ON hub."drawing_revision" FOR SELECT TO hub_read USING (true);

GRANT SELECT, INSERT ON hub."feature" TO hub_bench;
GRANT SELECT ON hub."feature" TO hub_read;
ALTER TABLE hub."feature" ENABLE ROW LEVEL SECURITY;
ALTER TABLE hub."feature" FORCE ROW LEVEL SECURITY;
CREATE POLICY own_shop ON hub."feature" TO hub_bench USING (of_shop = (SELECT hub.my_shop())) WITH CHECK (of_shop = (SELECT hub.my_shop()));
CREATE POLICY all_shops ON hub."feature" FOR SELECT TO hub_read USING (true);

GRANT SELECT, INSERT ON hub."feature_end" TO hub_bench;
GRANT SELECT ON hub."feature_end" TO hub_read;
ALTER TABLE hub."feature_end" ENABLE ROW LEVEL SECURITY;
ALTER TABLE hub."feature_end" FORCE ROW LEVEL SECURITY;
CREATE POLICY own_shop ON hub."feature_end" TO hub_bench USING (of_shop = (SELECT hub.my_shop())) WITH CHECK (of_shop = (SELECT hub.my_shop()));
CREATE POLICY all_shops ON hub."feature_end" FOR SELECT TO hub_read USING (true);

GRANT SELECT, INSERT ON hub."core" TO hub_bench;
GRANT SELECT ON hub."core" TO hub_read;
ALTER TABLE hub."core" ENABLE ROW LEVEL SECURITY;
ALTER TABLE hub."core" FORCE ROW LEVEL SECURITY;
CREATE POLICY own_shop ON hub."core" TO hub_bench USING (of_shop = (SELECT hub.my_shop())) WITH CHECK (of_shop = (SELECT hub.my_shop()));
CREATE POLICY all_shops ON hub."core" FOR SELECT TO hub_read USING (true);

GRANT SELECT, INSERT ON hub."tool" TO hub_bench;
GRANT SELECT ON hub."tool" TO hub_read;
ALTER TABLE hub."tool" ENABLE ROW LEVEL SECURITY;
ALTER TABLE hub."tool" FORCE ROW LEVEL SECURITY;
CREATE POLICY own_shop ON hub."tool" TO hub_bench USING (of_shop = (SELECT hub.my_shop())) WITH CHECK (of_shop = (SELECT hub.my_shop()));
CREATE POLICY all_shops ON hub."tool" FOR SELECT TO hub_read USING (true);

GRANT SELECT, INSERT ON hub."tool_feature" TO hub_bench;
GRANT SELECT ON hub."tool_feature" TO hub_read;
ALTER TABLE hub."tool_feature" ENABLE ROW LEVEL SECURITY;
ALTER TABLE hub."tool_feature" FORCE ROW LEVEL SECURITY;
CREATE POLICY own_shop ON hub."tool_feature" TO hub_bench USING (of_shop = (SELECT hub.my_shop())) WITH CHECK (of_shop = (SELECT hub.my_shop()));
CREATE POLICY all_shops ON hub."tool_feature" FOR SELECT TO hub_read USING (true);

GRANT SELECT, INSERT ON hub."chain_step" TO hub_bench;
GRANT SELECT ON hub."chain_step" TO hub_read;
ALTER TABLE hub."chain_step" ENABLE ROW LEVEL SECURITY;
ALTER TABLE hub."chain_step" FORCE ROW LEVEL SECURITY;
CREATE POLICY own_shop ON hub."chain_step" TO hub_bench USING (of_shop = (SELECT hub.my_shop())) WITH CHECK (of_shop = (SELECT hub.my_shop()));
CREATE POLICY all_shops ON hub."chain_step" FOR SELECT TO hub_read USING (true);

GRANT SELECT, INSERT ON hub."lot" TO hub_bench;
GRANT SELECT ON hub."lot" TO hub_read;
ALTER TABLE hub."lot" ENABLE ROW LEVEL SECURITY;
ALTER TABLE hub."lot" FORCE ROW LEVEL SECURITY;
CREATE POLICY own_shop ON hub."lot" TO hub_bench USING (of_shop = (SELECT hub.my_shop())) WITH CHECK (of_shop = (SELECT hub.my_shop()));
CREATE POLICY all_shops ON hub."lot" FOR SELECT TO hub_read USING (true);

GRANT SELECT, INSERT ON hub."item" TO hub_bench;
GRANT SELECT ON hub."item" TO hub_read;
ALTER TABLE hub."item" ENABLE ROW LEVEL SECURITY;
ALTER TABLE hub."item" FORCE ROW LEVEL SECURITY;
CREATE POLICY own_shop ON hub."item" TO hub_bench USING (of_shop = (SELECT hub.my_shop())) WITH CHECK (of_shop = (SELECT hub.my_shop()));
CREATE POLICY all_shops ON hub."item" FOR SELECT TO hub_read USING (true);

GRANT SELECT, INSERT ON hub."person" TO hub_bench;
GRANT SELECT ON hub."person" TO hub_read;
ALTER TABLE hub."person" ENABLE ROW LEVEL SECURITY;
ALTER TABLE hub."person" FORCE ROW LEVEL SECURITY;
CREATE POLICY own_shop ON hub."person" TO hub_bench USING (of_shop = (SELECT hub.my_shop())) WITH CHECK (of_shop = (SELECT hub.my_shop()));
CREATE POLICY all_shops ON hub."person" FOR SELECT TO hub_read USING (true);

GRANT SELECT, INSERT ON hub."instrument" TO hub_bench;
GRANT SELECT ON hub."instrument" TO hub_read;
ALTER TABLE hub."instrument" ENABLE ROW LEVEL SECURITY;
ALTER TABLE hub."instrument" FORCE ROW LEVEL SECURITY;
CREATE POLICY own_shop ON hub."instrument" TO hub_bench USING (of_shop = (SELECT hub.my_shop())) WITH CHECK (of_shop = (SELECT hub.my_shop()));
CREATE POLICY all_shops ON hub."instrument" FOR SELECT TO hub_read USING (true);

GRANT SELECT, INSERT ON hub."calibration" TO hub_bench;
GRANT SELECT ON hub."calibration" TO hub_read;
ALTER TABLE hub."calibration" ENABLE ROW LEVEL SECURITY;
ALTER TABLE hub."calibration" FORCE ROW LEVEL SECURITY;
CREATE POLICY own_shop ON hub."calibration" TO hub_bench USING (of_shop = (SELECT hub.my_shop())) WITH CHECK (of_shop = (SELECT hub.my_shop()));
CREATE POLICY all_shops ON hub."calibration" FOR SELECT TO hub_read USING (true);

GRANT SELECT, INSERT ON hub."session" TO hub_bench;
GRANT SELECT ON hub."session" TO hub_read;
ALTER TABLE hub."session" ENABLE ROW LEVEL SECURITY;
ALTER TABLE hub."session" FORCE ROW LEVEL SECURITY;
CREATE POLICY own_shop ON hub."session" TO hub_bench USING (of_shop = (SELECT hub.my_shop())) WITH CHECK (of_shop = (SELECT hub.my_shop()));
CREATE POLICY all_shops ON hub."session" FOR SELECT TO hub_read USING (true);

GRANT SELECT, INSERT ON hub."setup" TO hub_bench;
GRANT SELECT ON hub."setup" TO hub_read;
ALTER TABLE hub."setup" ENABLE ROW LEVEL SECURITY;
ALTER TABLE hub."setup" FORCE ROW LEVEL SECURITY;
CREATE POLICY own_shop ON hub."setup" TO hub_bench USING (of_shop = (SELECT hub.my_shop())) WITH CHECK (of_shop = (SELECT hub.my_shop()));
CREATE POLICY all_shops ON hub."setup" FOR SELECT TO hub_read USING (true);

GRANT SELECT, INSERT ON hub."reading" TO hub_bench;
GRANT SELECT ON hub."reading" TO hub_read;
ALTER TABLE hub."reading" ENABLE ROW LEVEL SECURITY;
ALTER TABLE hub."reading" FORCE ROW LEVEL SECURITY;
CREATE POLICY own_shop ON hub."reading" TO hub_bench USING (of_shop = (SELECT hub.my_shop())) WITH CHECK (of_shop = (SELECT hub.my_shop()));
CREATE POLICY all_shops ON hub."reading" FOR SELECT TO hub_read USING (true);

GRANT SELECT, INSERT ON hub."supersede" TO hub_bench;
GRANT SELECT ON hub."supersede" TO hub_read;
ALTER TABLE hub."supersede" ENABLE ROW LEVEL SECURITY;
ALTER TABLE hub."supersede" FORCE ROW LEVEL SECURITY;
CREATE POLICY own_shop ON hub."supersede" TO hub_bench USING (of_shop = (SELECT hub.my_shop())) WITH CHECK (of_shop = (SELECT hub.my_shop()));
CREATE POLICY all_shops ON hub."supersede" FOR SELECT TO hub_read USING (true);

GRANT SELECT, INSERT ON hub."note" TO hub_bench;
GRANT SELECT ON hub."note" TO hub_read;
ALTER TABLE hub."note" ENABLE ROW LEVEL SECURITY;
ALTER TABLE hub."note" FORCE ROW LEVEL SECURITY;
CREATE POLICY own_shop ON hub."note" TO hub_bench USING (of_shop = (SELECT hub.my_shop())) WITH CHECK (of_shop = (SELECT hub.my_shop()));
CREATE POLICY all_shops ON hub."note" FOR SELECT TO hub_read USING (true);

GRANT SELECT, INSERT ON hub."gauge_study" TO hub_bench;
GRANT SELECT ON hub."gauge_study" TO hub_read;
ALTER TABLE hub."gauge_study" ENABLE ROW LEVEL SECURITY;
ALTER TABLE hub."gauge_study" FORCE ROW LEVEL SECURITY;
CREATE POLICY own_shop ON hub."gauge_study" TO hub_bench USING (of_shop = (SELECT hub.my_shop())) WITH CHECK (of_shop = (SELECT hub.my_shop()));
CREATE POLICY all_shops ON hub."gauge_study" FOR SELECT TO hub_read USING (true);

GRANT SELECT, INSERT ON hub."gauge_part" TO hub_bench;
GRANT SELECT ON hub."gauge_part" TO hub_read;
ALTER TABLE hub."gauge_part" ENABLE ROW LEVEL SECURITY;
ALTER TABLE hub."gauge_part" FORCE ROW LEVEL SECURITY;
CREATE POLICY own_shop ON hub."gauge_part" TO hub_bench USING (of_shop = (SELECT hub.my_shop())) WITH CHECK (of_shop = (SELECT hub.my_shop()));
CREATE POLICY all_shops ON hub."gauge_part" FOR SELECT TO hub_read USING (true);

GRANT SELECT, INSERT ON hub."gauge_person" TO hub_bench;
GRANT SELECT ON hub."gauge_person" TO hub_read;
ALTER TABLE hub."gauge_person" ENABLE ROW LEVEL SECURITY;
ALTER TABLE hub."gauge_person" FORCE ROW LEVEL SECURITY;
CREATE POLICY own_shop ON hub."gauge_person" TO hub_bench USING (of_shop = (SELECT hub.my_shop())) WITH CHECK (of_shop = (SELECT hub.my_shop()));
CREATE POLICY all_shops ON hub."gauge_person" FOR SELECT TO hub_read USING (true);

GRANT SELECT, INSERT ON hub."gauge_trial" TO hub_bench;
GRANT SELECT ON hub."gauge_trial" TO hub_read;
ALTER TABLE hub."gauge_trial" ENABLE ROW LEVEL SECURITY;
ALTER TABLE hub."gauge_trial" FORCE ROW LEVEL SECURITY;
CREATE POLICY own_shop ON hub."gauge_trial" TO hub_bench USING (of_shop = (SELECT hub.my_shop())) WITH CHECK (of_shop = (SELECT hub.my_shop()));
CREATE POLICY all_shops ON hub."gauge_trial" FOR SELECT TO hub_read USING (true);

GRANT SELECT, INSERT ON hub."gauge_check" TO hub_bench;
GRANT SELECT ON hub."gauge_check" TO hub_read;
ALTER TABLE hub."gauge_check" ENABLE ROW LEVEL SECURITY;
ALTER TABLE hub."gauge_check" FORCE ROW LEVEL SECURITY;
CREATE POLICY own_shop ON hub."gauge_check" TO hub_bench USING (of_shop = (SELECT hub.my_shop())) WITH CHECK (of_shop = (SELECT hub.my_shop()));
CREATE POLICY all_shops ON hub."gauge_check" FOR SELECT TO hub_read USING (true);

GRANT SELECT, INSERT ON hub."instrument_bias" TO hub_bench;
GRANT SELECT ON hub."instrument_bias" TO hub_read;
ALTER TABLE hub."instrument_bias" ENABLE ROW LEVEL SECURITY;
ALTER TABLE hub."instrument_bias" FORCE ROW LEVEL SECURITY;
CREATE POLICY own_shop ON hub."instrument_bias" TO hub_bench USING (of_shop = (SELECT hub.my_shop())) WITH CHECK (of_shop = (SELECT hub.my_shop()));
CREATE POLICY all_shops ON hub."instrument_bias" FOR SELECT TO hub_read USING (true);

GRANT SELECT, INSERT ON hub."fit" TO hub_bench;
GRANT SELECT ON hub."fit" TO hub_read;
ALTER TABLE hub."fit" ENABLE ROW LEVEL SECURITY;
ALTER TABLE hub."fit" FORCE ROW LEVEL SECURITY;
CREATE POLICY own_shop ON hub."fit" TO hub_bench USING (of_shop = (SELECT hub.my_shop())) WITH CHECK (of_shop = (SELECT hub.my_shop()));
CREATE POLICY all_shops ON hub."fit" FOR SELECT TO hub_read USING (true);

GRANT SELECT, INSERT ON hub."stack" TO hub_bench;
GRANT SELECT ON hub."stack" TO hub_read;
ALTER TABLE hub."stack" ENABLE ROW LEVEL SECURITY;
ALTER TABLE hub."stack" FORCE ROW LEVEL SECURITY;
CREATE POLICY own_shop ON hub."stack" TO hub_bench USING (of_shop = (SELECT hub.my_shop())) WITH CHECK (of_shop = (SELECT hub.my_shop()));
CREATE POLICY all_shops ON hub."stack" FOR SELECT TO hub_read USING (true);

GRANT SELECT, INSERT ON hub."stack_member" TO hub_bench;
GRANT SELECT ON hub."stack_member" TO hub_read;
ALTER TABLE hub."stack_member" ENABLE ROW LEVEL SECURITY;
ALTER TABLE hub."stack_member" FORCE ROW LEVEL SECURITY;
CREATE POLICY own_shop ON hub."stack_member" TO hub_bench USING (of_shop = (SELECT hub.my_shop())) WITH CHECK (of_shop = (SELECT hub.my_shop()));
CREATE POLICY all_shops ON hub."stack_member" FOR SELECT TO hub_read USING (true);

GRANT SELECT, INSERT ON hub."passage" TO hub_bench;
GRANT SELECT ON hub."passage" TO hub_read;
ALTER TABLE hub."passage" ENABLE ROW LEVEL SECURITY;
ALTER TABLE hub."passage" FORCE ROW LEVEL SECURITY;
CREATE POLICY own_shop ON hub."passage" TO hub_bench USING (of_shop = (SELECT hub.my_shop())) WITH CHECK (of_shop = (SELECT hub.my_shop()));
CREATE POLICY all_shops ON hub."passage" FOR SELECT TO hub_read USING (true);

GRANT SELECT, INSERT ON hub."attachment" TO hub_bench;
GRANT SELECT ON hub."attachment" TO hub_read;
ALTER TABLE hub."attachment" ENABLE ROW LEVEL SECURITY;
ALTER TABLE hub."attachment" FORCE ROW LEVEL SECURITY;
CREATE POLICY own_shop ON hub."attachment" TO hub_bench USING (of_shop = (SELECT hub.my_shop())) WITH CHECK (of_shop = (SELECT hub.my_shop()));
CREATE POLICY all_shops ON hub."attachment" FOR SELECT TO hub_read USING (true);

GRANT SELECT, INSERT ON hub."attachment_use" TO hub_bench;
GRANT SELECT ON hub."attachment_use" TO hub_read;
ALTER TABLE hub."attachment_use" ENABLE ROW LEVEL SECURITY;
ALTER TABLE hub."attachment_use" FORCE ROW LEVEL SECURITY;
CREATE POLICY own_shop ON hub."attachment_use" TO hub_bench USING (of_shop = (SELECT hub.my_shop())) WITH CHECK (of_shop = (SELECT hub.my_shop()));
CREATE POLICY all_shops ON hub."attachment_use" FOR SELECT TO hub_read USING (true);

GRANT SELECT, INSERT ON hub."core_detail" TO hub_bench;
GRANT SELECT ON hub."core_detail" TO hub_read;
ALTER TABLE hub."core_detail" ENABLE ROW LEVEL SECURITY;
ALTER TABLE hub."core_detail" FORCE ROW LEVEL SECURITY;
CREATE POLICY own_shop ON hub."core_detail" TO hub_bench USING (of_shop = (SELECT hub.my_shop())) WITH CHECK (of_shop = (SELECT hub.my_shop()));
CREATE POLICY all_shops ON hub."core_detail" FOR SELECT TO hub_read USING (true);

GRANT SELECT, INSERT ON hub."tool_detail" TO hub_bench;
GRANT SELECT ON hub."tool_detail" TO hub_read;
ALTER TABLE hub."tool_detail" ENABLE ROW LEVEL SECURITY;
ALTER TABLE hub."tool_detail" FORCE ROW LEVEL SECURITY;
CREATE POLICY own_shop ON hub."tool_detail" TO hub_bench USING (of_shop = (SELECT hub.my_shop())) WITH CHECK (of_shop = (SELECT hub.my_shop()));
CREATE POLICY all_shops ON hub."tool_detail" FOR SELECT TO hub_read USING (true);

GRANT SELECT, INSERT ON hub."shipment" TO hub_bench;
GRANT SELECT ON hub."shipment" TO hub_read;
ALTER TABLE hub."shipment" ENABLE ROW LEVEL SECURITY;
ALTER TABLE hub."shipment" FORCE ROW LEVEL SECURITY;
CREATE POLICY own_shop ON hub."shipment" TO hub_bench USING (of_shop = (SELECT hub.my_shop())) WITH CHECK (of_shop = (SELECT hub.my_shop()));
CREATE POLICY all_shops ON hub."shipment" FOR SELECT TO hub_read USING (true);

GRANT SELECT, INSERT ON hub."shipment_line" TO hub_bench;
GRANT SELECT ON hub."shipment_line" TO hub_read;
ALTER TABLE hub."shipment_line" ENABLE ROW LEVEL SECURITY;
ALTER TABLE hub."shipment_line" FORCE ROW LEVEL SECURITY;
CREATE POLICY own_shop ON hub."shipment_line" TO hub_bench USING (of_shop = (SELECT hub.my_shop())) WITH CHECK (of_shop = (SELECT hub.my_shop()));
CREATE POLICY all_shops ON hub."shipment_line" FOR SELECT TO hub_read USING (true);

GRANT SELECT, INSERT ON hub."report_snapshot" TO hub_bench;
GRANT SELECT ON hub."report_snapshot" TO hub_read;
ALTER TABLE hub."report_snapshot" ENABLE ROW LEVEL SECURITY;
ALTER TABLE hub."report_snapshot" FORCE ROW LEVEL SECURITY;
CREATE POLICY own_shop ON hub."report_snapshot" TO hub_bench USING (of_shop = (SELECT hub.my_shop())) WITH CHECK (of_shop = (SELECT hub.my_shop()));
CREATE POLICY all_shops ON hub."report_snapshot" FOR SELECT TO hub_read USING (true);

GRANT SELECT, INSERT ON hub."import_mapping" TO hub_bench;
GRANT SELECT ON hub."import_mapping" TO hub_read;
ALTER TABLE hub."import_mapping" ENABLE ROW LEVEL SECURITY;
ALTER TABLE hub."import_mapping" FORCE ROW LEVEL SECURITY;
CREATE POLICY own_shop ON hub."import_mapping" TO hub_bench USING (of_shop = (SELECT hub.my_shop())) WITH CHECK (of_shop = (SELECT hub.my_shop()));
CREATE POLICY all_shops ON hub."import_mapping" FOR SELECT TO hub_read USING (true);

GRANT SELECT, INSERT ON hub."import_file" TO hub_bench;
GRANT SELECT ON hub."import_file" TO hub_read;
ALTER TABLE hub."import_file" ENABLE ROW LEVEL SECURITY;
ALTER TABLE hub."import_file" FORCE ROW LEVEL SECURITY;
CREATE POLICY own_shop ON hub."import_file" TO hub_bench USING (of_shop = (SELECT hub.my_shop())) WITH CHECK (of_shop = (SELECT hub.my_shop()));
CREATE POLICY all_shops ON hub."import_file" FOR SELECT TO hub_read USING (true);

GRANT SELECT, INSERT ON hub."not_measurable" TO hub_bench;
GRANT SELECT ON hub."not_measurable" TO hub_read;
ALTER TABLE hub."not_measurable" ENABLE ROW LEVEL SECURITY;
ALTER TABLE hub."not_measurable" FORCE ROW LEVEL SECURITY;
CREATE POLICY own_shop ON hub."not_measurable" TO hub_bench USING (of_shop = (SELECT hub.my_shop())) WITH CHECK (of_shop = (SELECT hub.my_shop()));
CREATE POLICY all_shops ON hub."not_measurable" FOR SELECT TO hub_read USING (true);

GRANT SELECT, INSERT ON hub."realigned" TO hub_bench;
GRANT SELECT ON hub."realigned" TO hub_read;
ALTER TABLE hub."realigned" ENABLE ROW LEVEL SECURITY;
ALTER TABLE hub."realigned" FORCE ROW LEVEL SECURITY;
CREATE POLICY own_shop ON hub."realigned" TO hub_bench USING (of_shop = (SELECT hub.my_shop())) WITH CHECK (of_shop = (SELECT hub.my_shop()));
CREATE POLICY all_shops ON hub."realigned" FOR SELECT TO hub_read USING (true);

GRANT SELECT, INSERT ON hub."datum_target" TO hub_bench;
GRANT SELECT ON hub."datum_target" TO hub_read;
ALTER TABLE hub."datum_target" ENABLE ROW LEVEL SECURITY;
ALTER TABLE hub."datum_target" FORCE ROW LEVEL SECURITY;
CREATE POLICY own_shop ON hub."datum_target" TO hub_bench USING (of_shop = (SELECT hub.my_shop())) WITH CHECK (of_shop = (SELECT hub.my_shop()));
CREATE POLICY all_shops ON hub."datum_target" FOR SELECT TO hub_read USING (true);

GRANT SELECT, INSERT ON hub."cut_accepted" TO hub_bench;
GRANT SELECT ON hub."cut_accepted" TO hub_read;
ALTER TABLE hub."cut_accepted" ENABLE ROW LEVEL SECURITY;
ALTER TABLE hub."cut_accepted" FORCE ROW LEVEL SECURITY;
CREATE POLICY own_shop ON hub."cut_accepted" TO hub_bench USING (of_shop = (SELECT hub.my_shop())) WITH CHECK (of_shop = (SELECT hub.my_shop()));
CREATE POLICY all_shops ON hub."cut_accepted" FOR SELECT TO hub_read USING (true);

GRANT SELECT, INSERT ON hub."cut_promise" TO hub_bench;
GRANT SELECT ON hub."cut_promise" TO hub_read;
ALTER TABLE hub."cut_promise" ENABLE ROW LEVEL SECURITY;
ALTER TABLE hub."cut_promise" FORCE ROW LEVEL SECURITY;
CREATE POLICY own_shop ON hub."cut_promise" TO hub_bench USING (of_shop = (SELECT hub.my_shop())) WITH CHECK (of_shop = (SELECT hub.my_shop()));
CREATE POLICY all_shops ON hub."cut_promise" FOR SELECT TO hub_read USING (true);

GRANT SELECT, INSERT ON hub."tool_count" TO hub_bench;
GRANT SELECT ON hub."tool_count" TO hub_read;
ALTER TABLE hub."tool_count" ENABLE ROW LEVEL SECURITY;
ALTER TABLE hub."tool_count" FORCE ROW LEVEL SECURITY;
CREATE POLICY own_shop ON hub."tool_count" TO hub_bench USING (of_shop = (SELECT hub.my_shop())) WITH CHECK (of_shop = (SELECT hub.my_shop()));
CREATE POLICY all_shops ON hub."tool_count" FOR SELECT TO hub_read USING (true);

GRANT SELECT, INSERT ON hub."tool_repair" TO hub_bench;
GRANT SELECT ON hub."tool_repair" TO hub_read;
ALTER TABLE hub."tool_repair" ENABLE ROW LEVEL SECURITY;
ALTER TABLE hub."tool_repair" FORCE ROW LEVEL SECURITY;
CREATE POLICY own_shop ON hub."tool_repair" TO hub_bench USING (of_shop = (SELECT hub.my_shop())) WITH CHECK (of_shop = (SELECT hub.my_shop()));
CREATE POLICY all_shops ON hub."tool_repair" FOR SELECT TO hub_read USING (true);

GRANT SELECT, INSERT ON hub."tool_state" TO hub_bench;
GRANT SELECT ON hub."tool_state" TO hub_read;
ALTER TABLE hub."tool_state" ENABLE ROW LEVEL SECURITY;
ALTER TABLE hub."tool_state" FORCE ROW LEVEL SECURITY;
CREATE POLICY own_shop ON hub."tool_state" TO hub_bench USING (of_shop = (SELECT hub.my_shop())) WITH CHECK (of_shop = (SELECT hub.my_shop()));
CREATE POLICY all_shops ON hub."tool_state" FOR SELECT TO hub_read USING (true);

GRANT SELECT, INSERT ON hub."wear_limit" TO hub_bench;
GRANT SELECT ON hub."wear_limit" TO hub_read;
ALTER TABLE hub."wear_limit" ENABLE ROW LEVEL SECURITY;
ALTER TABLE hub."wear_limit" FORCE ROW LEVEL SECURITY;
CREATE POLICY own_shop ON hub."wear_limit" TO hub_bench USING (of_shop = (SELECT hub.my_shop())) WITH CHECK (of_shop = (SELECT hub.my_shop()));
CREATE POLICY all_shops ON hub."wear_limit" FOR SELECT TO hub_read USING (true);

GRANT SELECT, INSERT ON hub."item_weight" TO hub_bench;
GRANT SELECT ON hub."item_weight" TO hub_read;
ALTER TABLE hub."item_weight" ENABLE ROW LEVEL SECURITY;
ALTER TABLE hub."item_weight" FORCE ROW LEVEL SECURITY;
CREATE POLICY own_shop ON hub."item_weight" TO hub_bench USING (of_shop = (SELECT hub.my_shop())) WITH CHECK (of_shop = (SELECT hub.my_shop()));
CREATE POLICY all_shops ON hub."item_weight" FOR SELECT TO hub_read USING (true);

GRANT SELECT, INSERT ON hub."wall_area" TO hub_bench;
GRANT SELECT ON hub."wall_area" TO hub_read;
ALTER TABLE hub."wall_area" ENABLE ROW LEVEL SECURITY;
ALTER TABLE hub."wall_area" FORCE ROW LEVEL SECURITY;
CREATE POLICY own_shop ON hub."wall_area" TO hub_bench USING (of_shop = (SELECT hub.my_shop())) WITH CHECK (of_shop = (SELECT hub.my_shop()));
CREATE POLICY all_shops ON hub."wall_area" FOR SELECT TO hub_read USING (true);

GRANT SELECT, INSERT ON hub."instrument_state" TO hub_bench;
GRANT SELECT ON hub."instrument_state" TO hub_read;
ALTER TABLE hub."instrument_state" ENABLE ROW LEVEL SECURITY;
ALTER TABLE hub."instrument_state" FORCE ROW LEVEL SECURITY;
CREATE POLICY own_shop ON hub."instrument_state" TO hub_bench USING (of_shop = (SELECT hub.my_shop())) WITH CHECK (of_shop = (SELECT hub.my_shop()));
CREATE POLICY all_shops ON hub."instrument_state" FOR SELECT TO hub_read USING (true);

GRANT SELECT, INSERT ON hub."core_body" TO hub_bench;
GRANT SELECT ON hub."core_body" TO hub_read;
ALTER TABLE hub."core_body" ENABLE ROW LEVEL SECURITY;
ALTER TABLE hub."core_body" FORCE ROW LEVEL SECURITY;
CREATE POLICY own_shop ON hub."core_body" TO hub_bench USING (of_shop = (SELECT hub.my_shop())) WITH CHECK (of_shop = (SELECT hub.my_shop()));
CREATE POLICY all_shops ON hub."core_body" FOR SELECT TO hub_read USING (true);

GRANT SELECT, INSERT ON hub."mould_outline" TO hub_bench;
GRANT SELECT ON hub."mould_outline" TO hub_read;
ALTER TABLE hub."mould_outline" ENABLE ROW LEVEL SECURITY;
ALTER TABLE hub."mould_outline" FORCE ROW LEVEL SECURITY;
CREATE POLICY own_shop ON hub."mould_outline" TO hub_bench USING (of_shop = (SELECT hub.my_shop())) WITH CHECK (of_shop = (SELECT hub.my_shop()));
CREATE POLICY all_shops ON hub."mould_outline" FOR SELECT TO hub_read USING (true);

GRANT SELECT, INSERT ON hub."parting" TO hub_bench;
GRANT SELECT ON hub."parting" TO hub_read;
ALTER TABLE hub."parting" ENABLE ROW LEVEL SECURITY;
ALTER TABLE hub."parting" FORCE ROW LEVEL SECURITY;
CREATE POLICY own_shop ON hub."parting" TO hub_bench USING (of_shop = (SELECT hub.my_shop())) WITH CHECK (of_shop = (SELECT hub.my_shop()));
CREATE POLICY all_shops ON hub."parting" FOR SELECT TO hub_read USING (true);

GRANT SELECT, INSERT ON hub."parting_step" TO hub_bench;
GRANT SELECT ON hub."parting_step" TO hub_read;
ALTER TABLE hub."parting_step" ENABLE ROW LEVEL SECURITY;
ALTER TABLE hub."parting_step" FORCE ROW LEVEL SECURITY;
CREATE POLICY own_shop ON hub."parting_step" TO hub_bench USING (of_shop = (SELECT hub.my_shop())) WITH CHECK (of_shop = (SELECT hub.my_shop()));
CREATE POLICY all_shops ON hub."parting_step" FOR SELECT TO hub_read USING (true);

GRANT SELECT, INSERT ON hub."passage_point" TO hub_bench;
GRANT SELECT ON hub."passage_point" TO hub_read;
ALTER TABLE hub."passage_point" ENABLE ROW LEVEL SECURITY;
ALTER TABLE hub."passage_point" FORCE ROW LEVEL SECURITY;
CREATE POLICY own_shop ON hub."passage_point" TO hub_bench USING (of_shop = (SELECT hub.my_shop())) WITH CHECK (of_shop = (SELECT hub.my_shop()));
CREATE POLICY all_shops ON hub."passage_point" FOR SELECT TO hub_read USING (true);

GRANT SELECT, INSERT ON hub."withdrawal" TO hub_bench;
GRANT SELECT ON hub."withdrawal" TO hub_read;
ALTER TABLE hub."withdrawal" ENABLE ROW LEVEL SECURITY;
ALTER TABLE hub."withdrawal" FORCE ROW LEVEL SECURITY;
CREATE POLICY own_shop ON hub."withdrawal" TO hub_bench USING (of_shop = (SELECT hub.my_shop())) WITH CHECK (of_shop = (SELECT hub.my_shop()));
CREATE POLICY all_shops ON hub."withdrawal" FOR SELECT TO hub_read USING (true);

GRANT SELECT, INSERT ON hub."same_thing" TO hub_bench;
GRANT SELECT ON hub."same_thing" TO hub_read;
ALTER TABLE hub."same_thing" ENABLE ROW LEVEL SECURITY;
ALTER TABLE hub."same_thing" FORCE ROW LEVEL SECURITY;
CREATE POLICY own_shop ON hub."same_thing" TO hub_bench USING (of_shop = (SELECT hub.my_shop())) WITH CHECK (of_shop = (SELECT hub.my_shop()));
CREATE POLICY all_shops ON hub."same_thing" FOR SELECT TO hub_read USING (true);

GRANT SELECT, INSERT ON hub."instrument_profile" TO hub_bench;
GRANT SELECT ON hub."instrument_profile" TO hub_read;
ALTER TABLE hub."instrument_profile" ENABLE ROW LEVEL SECURITY;
ALTER TABLE hub."instrument_profile" FORCE ROW LEVEL SECURITY;
CREATE POLICY own_shop ON hub."instrument_profile" TO hub_bench USING (of_shop = (SELECT hub.my_shop())) WITH CHECK (of_shop = (SELECT hub.my_shop()));
CREATE POLICY all_shops ON hub."instrument_profile" FOR SELECT TO hub_read USING (true);

GRANT SELECT, INSERT ON hub."renamed" TO hub_bench;
GRANT SELECT ON hub."renamed" TO hub_read;
ALTER TABLE hub."renamed" ENABLE ROW LEVEL SECURITY;
ALTER TABLE hub."renamed" FORCE ROW LEVEL SECURITY;
CREATE POLICY own_shop ON hub."renamed" TO hub_bench USING (of_shop = (SELECT hub.my_shop())) WITH CHECK (of_shop = (SELECT hub.my_shop()));
CREATE POLICY all_shops ON hub."renamed" FOR SELECT TO hub_read USING (true);

GRANT SELECT, INSERT ON hub."setting_answer" TO hub_bench;
GRANT SELECT ON hub."setting_answer" TO hub_read;
ALTER TABLE hub."setting_answer" ENABLE ROW LEVEL SECURITY;
ALTER TABLE hub."setting_answer" FORCE ROW LEVEL SECURITY;
CREATE POLICY own_shop ON hub."setting_answer" TO hub_bench USING (of_shop = (SELECT hub.my_shop())) WITH CHECK (of_shop = (SELECT hub.my_shop()));
CREATE POLICY all_shops ON hub."setting_answer" FOR SELECT TO hub_read USING (true);

GRANT SELECT, INSERT ON hub."put_aside" TO hub_bench;
GRANT SELECT ON hub."put_aside" TO hub_read;
ALTER TABLE hub."put_aside" ENABLE ROW LEVEL SECURITY;
ALTER TABLE hub."put_aside" FORCE ROW LEVEL SECURITY;
CREATE POLICY own_shop ON hub."put_aside" TO hub_bench USING (of_shop = (SELECT hub.my_shop())) WITH CHECK (of_shop = (SELECT hub.my_shop()));
CREATE POLICY all_shops ON hub."put_aside" FOR SELECT TO hub_read USING (true);

GRANT SELECT, INSERT ON hub."shop_adopted" TO hub_bench;
GRANT SELECT ON hub."shop_adopted" TO hub_read;
ALTER TABLE hub."shop_adopted" ENABLE ROW LEVEL SECURITY;
ALTER TABLE hub."shop_adopted" FORCE ROW LEVEL SECURITY;
CREATE POLICY own_shop ON hub."shop_adopted" TO hub_bench USING (of_shop = (SELECT hub.my_shop())) WITH CHECK (of_shop = (SELECT hub.my_shop()));
CREATE POLICY all_shops ON hub."shop_adopted" FOR SELECT TO hub_read USING (true);

GRANT SELECT, INSERT ON hub."geometry" TO hub_bench;
GRANT SELECT ON hub."geometry" TO hub_read;
ALTER TABLE hub."geometry" ENABLE ROW LEVEL SECURITY;
ALTER TABLE hub."geometry" FORCE ROW LEVEL SECURITY;
CREATE POLICY own_shop ON hub."geometry" TO hub_bench USING (of_shop = (SELECT hub.my_shop())) WITH CHECK (of_shop = (SELECT hub.my_shop()));
CREATE POLICY all_shops ON hub."geometry" FOR SELECT TO hub_read USING (true);

GRANT SELECT, INSERT ON hub."geometry_check" TO hub_bench;
GRANT SELECT ON hub."geometry_check" TO hub_read;
ALTER TABLE hub."geometry_check" ENABLE ROW LEVEL SECURITY;
ALTER TABLE hub."geometry_check" FORCE ROW LEVEL SECURITY;
CREATE POLICY own_shop ON hub."geometry_check" TO hub_bench USING (of_shop = (SELECT hub.my_shop())) WITH CHECK (of_shop = (SELECT hub.my_shop()));
CREATE POLICY all_shops ON hub."geometry_check" FOR SELECT TO hub_read USING (true);

GRANT SELECT, INSERT ON hub."disposition" TO hub_bench;
GRANT SELECT ON hub."disposition" TO hub_read;
ALTER TABLE hub."disposition" ENABLE ROW LEVEL SECURITY;
ALTER TABLE hub."disposition" FORCE ROW LEVEL SECURITY;
CREATE POLICY own_shop ON hub."disposition" TO hub_bench USING (of_shop = (SELECT hub.my_shop())) WITH CHECK (of_shop = (SELECT hub.my_shop()));
CREATE POLICY all_shops ON hub."disposition" FOR SELECT TO hub_read USING (true);

GRANT SELECT, INSERT ON hub."article_sign" TO hub_bench;
GRANT SELECT ON hub."article_sign" TO hub_read;
ALTER TABLE hub."article_sign" ENABLE ROW LEVEL SECURITY;
ALTER TABLE hub."article_sign" FORCE ROW LEVEL SECURITY;
CREATE POLICY own_shop ON hub."article_sign" TO hub_bench USING (of_shop = (SELECT hub.my_shop())) WITH CHECK (of_shop = (SELECT hub.my_shop()));
CREATE POLICY all_shops ON hub."article_sign" FOR SELECT TO hub_read USING (true);

GRANT SELECT, INSERT ON hub."proving" TO hub_bench;
GRANT SELECT ON hub."proving" TO hub_read;
ALTER TABLE hub."proving" ENABLE ROW LEVEL SECURITY;
ALTER TABLE hub."proving" FORCE ROW LEVEL SECURITY;
CREATE POLICY own_shop ON hub."proving" TO hub_bench USING (of_shop = (SELECT hub.my_shop())) WITH CHECK (of_shop = (SELECT hub.my_shop()));
CREATE POLICY all_shops ON hub."proving" FOR SELECT TO hub_read USING (true);

GRANT SELECT, INSERT ON hub."proving_line" TO hub_bench;
GRANT SELECT ON hub."proving_line" TO hub_read;
ALTER TABLE hub."proving_line" ENABLE ROW LEVEL SECURITY;
ALTER TABLE hub."proving_line" FORCE ROW LEVEL SECURITY;
CREATE POLICY own_shop ON hub."proving_line" TO hub_bench USING (of_shop = (SELECT hub.my_shop())) WITH CHECK (of_shop = (SELECT hub.my_shop()));
CREATE POLICY all_shops ON hub."proving_line" FOR SELECT TO hub_read USING (true);
