package backup

import (
	"database/sql"
	"encoding/base64"
	"encoding/json"
	"fmt"
	"time"
)

// cell takes one value out of a database and writes it.
type cell struct {
	kind    Kind
	integer sql.NullInt64
	text    sql.NullString
	bytes   []byte
}

func (c *cell) into() any {
	switch c.kind {
	case Int, MaybeInt, Time, MaybeTime:
		return &c.integer
	case Bytes, MaybeBytes:
		return &c.bytes
	default:
		return &c.text
	}
}

// value is the cell as JSON writes it.
func (c *cell) value() (any, error) {
	switch c.kind {
	case Int, MaybeInt, Time, MaybeTime:
		if !c.integer.Valid {
			return nil, nil
		}
		return c.integer.Int64, nil
	case Bytes:
		return base64.StdEncoding.EncodeToString(c.bytes), nil
	case MaybeBytes:
		if c.bytes == nil {
			return nil, nil
		}
		return base64.StdEncoding.EncodeToString(c.bytes), nil
	case List:
		texts := []string{}
		err := json.Unmarshal([]byte(c.text.String), &texts)
		return texts, err
	default:
		if !c.text.Valid {
			return nil, nil
		}
		return c.text.String, nil
	}
}

// argument is a value of a row as a database takes it.
func (d *Dialect) argument(kind Kind, raw json.RawMessage) (any, error) {
	if string(raw) == "null" {
		switch kind {
		case MaybeText, MaybeInt, MaybeTime, MaybeBytes:
			return nil, nil
		}
		return nil, fmt.Errorf("a value of the kind %s is missing", kind)
	}
	switch kind {
	case Int, MaybeInt:
		return read[int64](raw)
	case Time, MaybeTime:
		micros, err := read[int64](raw)
		return d.Time(time.UnixMicro(micros).UTC()), err
	case Bytes, MaybeBytes:
		return read[[]byte](raw)
	case List:
		texts, err := read[[]string](raw)
		return d.List(texts, string(raw)), err
	case Text, MaybeText:
		return read[string](raw)
	}
	return nil, fmt.Errorf("there is no kind %s", kind)
}

func read[T any](raw json.RawMessage) (v T, err error) {
	err = json.Unmarshal(raw, &v)
	return v, err
}
