INSERT INTO designs (id, title, title_folded, tags, version, created_at, updated_at, deleted_at) VALUES
    ('0195502a-0000-7000-8000-000000000001', 'Île — harbour morning', 'île — harbour morning', '{harbour,v_fold}', 2, '2026-03-01 06:30:00.123456Z', '2026-03-01 07:30:00.123456Z', NULL),
    ('0195502a-0000-7000-8000-000000000002', 'Gull', 'gull', '{}', 1, '2026-03-01 06:30:00.123456Z', '2026-03-01 06:30:00.123456Z', '2026-03-01 08:30:00.123456Z');

INSERT INTO versions (design_id, number, hash, created_at, message, author, document) VALUES
    ('0195502a-0000-7000-8000-000000000001', 1, 'sha256:01', '2026-03-01 06:30:00.123456Z', 'First light', 'keeper', '\x7b226c616d70223a00ff7d'),
    ('0195502a-0000-7000-8000-000000000001', 2, 'sha256:02', '2026-03-01 07:30:00.123456Z', '', '', '\x7b7d'),
    ('0195502a-0000-7000-8000-000000000002', 1, 'sha256:03', '2026-03-01 06:30:00.123456Z', '', '', '\x7b7d');

INSERT INTO idempotency_keys (key, fingerprint, design_id, version, created_at) VALUES
    ('tide-1', 'f', '0195502a-0000-7000-8000-000000000001', 1, '2026-03-01 06:30:00.123456Z');
