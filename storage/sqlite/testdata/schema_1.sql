INSERT INTO designs (id, title, title_folded, tags, version, created_at, updated_at, deleted_at) VALUES
    ('0195502a-0000-7000-8000-000000000001', 'Île — harbour morning', 'île — harbour morning', '["harbour","v_fold"]', 2, 1772346600123456, 1772350200123456, NULL),
    ('0195502a-0000-7000-8000-000000000002', 'Gull', 'gull', '[]', 1, 1772346600123456, 1772346600123456, 1772353800123456);

INSERT INTO design_tags (tag, created_at, design_id) VALUES
    ('harbour', 1772346600123456, '0195502a-0000-7000-8000-000000000001'),
    ('v_fold', 1772346600123456, '0195502a-0000-7000-8000-000000000001');

INSERT INTO versions (design_id, number, hash, created_at, message, author, document) VALUES
    ('0195502a-0000-7000-8000-000000000001', 1, 'sha256:01', 1772346600123456, 'First light', 'keeper', X'7b226c616d70223a00ff7d'),
    ('0195502a-0000-7000-8000-000000000001', 2, 'sha256:02', 1772350200123456, '', '', X'7b7d'),
    ('0195502a-0000-7000-8000-000000000002', 1, 'sha256:03', 1772346600123456, '', '', X'7b7d');

INSERT INTO idempotency_keys (key, fingerprint, design_id, version, created_at) VALUES
    ('tide-1', 'f', '0195502a-0000-7000-8000-000000000001', 1, 1772346600123456);
