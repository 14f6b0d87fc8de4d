package api

import (
	"bytes"
	"encoding/json"
	"maps"
	"reflect"
	"slices"
	"strconv"

	"foldwright/solver/compare"
)

// fieldChange is a value that differs between two documents. Its pointer is into
// the later one, or into the earlier where that alone has it.
type fieldChange struct {
	pointer, mechanism string
	change             compare.Change
	before, after      any
}

// fieldChanges compares two design documents. Mechanisms are the same where
// their ids are, wherever they stand in the list; other lists are compared place
// by place.
func fieldChanges(before, after []byte) ([]fieldChange, error) {
	was, err := generic(before)
	if err != nil {
		return nil, err
	}
	is, err := generic(after)
	if err != nil {
		return nil, err
	}
	var d fieldDiff
	earlier, later := mechanismsOf(was), mechanismsOf(is)
	delete(was, "mechanisms")
	delete(is, "mechanisms")
	d.object("", was, is)
	for i, m := range later {
		d.mechanism, _ = m["id"].(string)
		pointer := "/mechanisms/" + strconv.Itoa(i)
		if k := slices.IndexFunc(earlier, func(e map[string]any) bool { return e["id"] == m["id"] }); k >= 0 {
			d.object(pointer, earlier[k], m)
		} else {
			d.add(pointer, compare.Added, nil, m)
		}
	}
	for i, m := range earlier {
		if !slices.ContainsFunc(later, func(l map[string]any) bool { return l["id"] == m["id"] }) {
			d.mechanism, _ = m["id"].(string)
			d.add("/mechanisms/"+strconv.Itoa(i), compare.Removed, m, nil)
		}
	}
	return d.list, nil
}

// generic is a valid document as plain values, numbers as they were written.
func generic(raw []byte) (map[string]any, error) {
	out := map[string]any{}
	decoder := json.NewDecoder(bytes.NewReader(raw))
	decoder.UseNumber()
	err := decoder.Decode(&out)
	return out, err
}

func mechanismsOf(document map[string]any) []map[string]any {
	list, _ := document["mechanisms"].([]any)
	out := make([]map[string]any, len(list))
	for i := range list {
		out[i], _ = list[i].(map[string]any)
	}
	return out
}

type fieldDiff struct {
	mechanism string
	list      []fieldChange
}

func (d *fieldDiff) add(pointer string, change compare.Change, before, after any) {
	d.list = append(d.list, fieldChange{pointer, d.mechanism, change, before, after})
}

func (d *fieldDiff) object(pointer string, was, is map[string]any) {
	both := maps.Clone(was)
	maps.Copy(both, is)
	for _, key := range slices.Sorted(maps.Keys(both)) {
		before, had := was[key]
		after, has := is[key]
		d.value(pointer+"/"+pointerToken(key), before, after, had, has)
	}
}

func (d *fieldDiff) value(pointer string, before, after any, had, has bool) {
	switch {
	case !had:
		d.add(pointer, compare.Added, nil, after)
		return
	case !has:
		d.add(pointer, compare.Removed, before, nil)
		return
	}
	switch is := after.(type) {
	case map[string]any:
		if was, ok := before.(map[string]any); ok {
			d.object(pointer, was, is)
			return
		}
	case []any:
		if was, ok := before.([]any); ok {
			for i := range max(len(was), len(is)) {
				d.value(pointer+"/"+strconv.Itoa(i), place(was, i), place(is, i), i < len(was), i < len(is))
			}
			return
		}
	case json.Number:
		if was, ok := before.(json.Number); ok && sameNumber(was, is) {
			return
		}
	}
	if !reflect.DeepEqual(before, after) {
		d.add(pointer, compare.Changed, before, after)
	}
}

func place(list []any, i int) any {
	if i < len(list) {
		return list[i]
	}
	return nil
}

// sameNumber tells whether two numbers are the same however they are written.
func sameNumber(a, b json.Number) bool {
	x, errX := a.Float64()
	y, errY := b.Float64()
	return errX == nil && errY == nil && x == y
}
