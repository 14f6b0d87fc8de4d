-- The trace in which a job was asked for, as the traceparent of W3C Trace Context.

-- +goose Up
ALTER TABLE jobs ADD COLUMN trace text;
