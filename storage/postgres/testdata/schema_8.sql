INSERT INTO designs (id, title, title_folded, tags, version, created_at, updated_at, deleted_at, workspace) VALUES
    ('0195502a-0000-7000-8000-000000000001', 'Île — harbour morning', 'île — harbour morning', '{harbour,v_fold}', 2, '2026-03-01 06:30:00.123456Z', '2026-03-01 07:30:00.123456Z', NULL, 'local'),
    ('0195502a-0000-7000-8000-000000000002', 'Gull', 'gull', '{}', 1, '2026-03-01 06:30:00.123456Z', '2026-03-01 06:30:00.123456Z', '2026-03-01 08:30:00.123456Z', 'local');

INSERT INTO versions (design_id, number, hash, created_at, message, author, document) VALUES
    ('0195502a-0000-7000-8000-000000000001', 1, 'sha256:01', '2026-03-01 06:30:00.123456Z', 'First light', 'keeper', '\x7b226c616d70223a00ff7d'),
    ('0195502a-0000-7000-8000-000000000001', 2, 'sha256:02', '2026-03-01 07:30:00.123456Z', '', '', '\x7b7d'),
    ('0195502a-0000-7000-8000-000000000002', 1, 'sha256:03', '2026-03-01 06:30:00.123456Z', '', '', '\x7b7d');

INSERT INTO idempotency_keys (workspace, key, fingerprint, design_id, version, created_at) VALUES
    ('local', 'tide-1', 'f', '0195502a-0000-7000-8000-000000000001', 1, '2026-03-01 06:30:00.123456Z');

UPDATE workspaces SET designs = 1, versions = 2, bytes = 10 WHERE name = 'local';
INSERT INTO workspaces (name, designs, versions, bytes) VALUES ('quay', 0, 0, 0);

INSERT INTO access_keys (id, workspace, name, scope, origins, hash, created_at, expires_at, last_used_at, revoked_at) VALUES
    ('0195502a-0000-7000-8000-000000000011', 'quay', 'Website', 'write', '{}', 'hash-1', '2026-03-01 06:30:00.123456Z', NULL, '2026-03-01 07:30:00.123456Z', '2026-03-01 08:30:00.123456Z'),
    ('0195502a-0000-7000-8000-000000000012', 'quay', '', 'browser', '{https://workshop.example}', 'hash-2', '2026-03-01 06:30:00.123456Z', '2026-03-01 07:30:00.123456Z', NULL, NULL);

INSERT INTO shares (id, workspace, design_id, version, name, hash, created_at, expires_at, revoked_at) VALUES
    ('0195502a-0000-7000-8000-000000000021', 'local', '0195502a-0000-7000-8000-000000000001', 1, 'For the shop', 'hash-3', '2026-03-01 06:30:00.123456Z', NULL, NULL);

INSERT INTO jobs (id, workspace, operation, media, state, attempts, progress_done, progress_of, created_at, started_at, ended_at, expires_at, request, result, trace)
VALUES ('0195502a-0000-7000-8000-000000000031', 'quay', 'fit', 'application/json', 'done', 1, 8, 8,
    1772346600123456, 1772346601123456, 1772346602123456, 4102444800000000, '\x7b7d', '\x7b7d', '00-4bf92f3577b34da6a3ce929d0e0e4736-00f067aa0ba902b7-01');

INSERT INTO hooks (id, workspace, url, events, secret, created_at, off_at, off_why, failures, failing_since, served_at, paused_until, claim, leased_until)
VALUES ('0195502a-0000-7000-8000-000000000041', 'quay', 'https://workshop.example/hooks', ' version.created job.ended ', 'whsec_Z3VsbA==',
    1772346600123456, NULL, '', 2, 1772346601123456, 1772346602123456, 1772346603123456, NULL, NULL);
UPDATE workspaces SET hooks = 1 WHERE name = 'quay';

INSERT INTO deliveries (hook_id, event_id, type, about, created_at, state, attempts, last_at, status, error, due_at, expires_at)
VALUES ('0195502a-0000-7000-8000-000000000041', '0195502a-0000-7000-8000-000000000051', 'version.created',
    '{"design":"0195502a-0000-7000-8000-000000000001","version":2,"hash":"sha256:02"}',
    1772346600123456, 'pending', 2, 1772346602123456, 500, 'the answer was 500', 1772346603123456, NULL);

INSERT INTO labels (design_id, label, version, created_at) VALUES
    ('0195502a-0000-7000-8000-000000000001', 'as printed', 1, '2026-03-01 06:30:00.123456Z');

INSERT INTO growth (workspace, stripe, designs, versions, bytes) VALUES ('local', 0, 1, 1, 7), ('local', 9, -1, 0, -2);
