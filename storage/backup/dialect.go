package backup

import (
	"fmt"
	"strings"
	"time"
)

// A Dialect is what two databases differ in here.
type Dialect struct {
	// Micros is the expression for a column of times, as microseconds.
	Micros func(column string) string
	// Time and List are values as the database takes them.
	Time func(time.Time) any
	List func(texts []string, asJSON string) any
	// Array is the expression for a column of lists, as JSON.
	Array func(column string) string
	// Place is a placeholder, counted from 1.
	Place func(n int) string
	// Begin keeps everybody else from writing to a table until the end of the
	// transaction; nil where that is so anyway.
	Begin func(table string) string
	// Derive are statements that make what is not written into a backup.
	Derive []string
}

func (d *Dialect) selects(t *Table) string {
	list := make([]string, len(t.Columns))
	for i, c := range t.Columns {
		switch c.Kind {
		case Time, MaybeTime:
			list[i] = d.Micros(c.Name)
		case List:
			list[i] = d.Array(c.Name)
		default:
			list[i] = c.Name
		}
	}
	return fmt.Sprintf("SELECT %s FROM %s ORDER BY %s", strings.Join(list, ", "), t.Name, t.order)
}

func (d *Dialect) inserts(t *Table) string {
	names, places := make([]string, len(t.Columns)), make([]string, len(t.Columns))
	for i, c := range t.Columns {
		names[i], places[i] = c.Name, d.Place(i+1)
	}
	return fmt.Sprintf("INSERT INTO %s (%s) VALUES (%s)", t.Name, strings.Join(names, ", "), strings.Join(places, ", "))
}
