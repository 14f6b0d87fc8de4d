package storetest

import (
	"cmp"
	"errors"
	"maps"
	"reflect"
	"slices"
	"strings"
	"sync"
	"testing"
	"time"

	"foldwright/storage"
)

var listTests = []test{
	{"newest first", func(t *testing.T, db database) {
		s := db.store(storage.Options{Now: ticking()})
		a, b, c := create(t, s, titled("Quay")), create(t, s, titled("Gull")), create(t, s, titled("Buoy"))
		add(t, s, a.ID, 1, titled("Quay wall")) // an update does not move it
		page, err := s.List(t.Context(), storage.Query{})
		if err != nil || page.Next != "" {
			t.Fatalf("%+v, %v", page, err)
		}
		if got, want := ids(page.Designs), []string{c.ID, b.ID, a.ID}; !slices.Equal(got, want) {
			t.Errorf("listed %v, want %v", got, want)
		}
		if whole, err := s.Get(t.Context(), a.ID); err != nil || !reflect.DeepEqual(page.Designs[2], whole) {
			t.Errorf("listed\n%+v, kept\n%+v, %v", page.Designs[2], whole, err)
		}
	}},

	// By bytes upper case sorts before lower case and a hyphen before a digit;
	// the collations of many servers see both otherwise.
	{"equal times by descending id, compared as bytes", func(t *testing.T, db database) {
		given := []string{"b", "B", "a-1", "a1", "é", "z", "Z", "a"}
		left := slices.Clone(given)
		s := db.store(storage.Options{
			Now: func() time.Time { return time.Unix(1_700_000_000, 0) },
			NewID: func() (id string) {
				id, left = left[0], left[1:]
				return id
			},
		})
		for range given {
			create(t, s, titled("Quay", "harbour"))
		}
		want := slices.Clone(given)
		slices.Sort(want)
		slices.Reverse(want)
		for _, limit := range []int{1, 2, 3, 100} {
			for _, q := range []storage.Query{{}, {Tags: []string{"harbour"}}, {Search: "quay"}} {
				q.Limit = limit
				if got := ids(all(t, s, q)); !slices.Equal(got, want) {
					t.Errorf("%+v: listed %v, want %v", q, got, want)
				}
			}
		}
	}},

	{"by tag", func(t *testing.T, db database) {
		s := db.store(storage.Options{Now: ticking()})
		a := create(t, s, titled("Quay", "harbour", "stone"))
		b := create(t, s, titled("Gull", "harbour", "bird"))
		create(t, s, titled("Hill"))
		for tag, want := range map[string][]string{
			"harbour": {b.ID, a.ID},
			"stone":   {a.ID},
			"bird":    {b.ID},
			"har":     nil, // whole tags only
			"Stone":   nil, // exactly
			"%":       nil,
			"a\x00":   nil,
			"a\xff":   nil,
		} {
			if got := ids(all(t, s, storage.Query{Tags: []string{tag}})); !slices.Equal(got, want) {
				t.Errorf("tag %q: listed %v, want %v", tag, got, want)
			}
		}
		add(t, s, a.ID, 1, titled("Quay", "wood"))
		for tag, want := range map[string][]string{"stone": nil, "wood": {a.ID}, "harbour": {b.ID}} {
			if got := ids(all(t, s, storage.Query{Tags: []string{tag}})); !slices.Equal(got, want) {
				t.Errorf("after a new version, tag %q: listed %v, want %v", tag, got, want)
			}
		}
	}},

	{"a tag given twice lists its design once", func(t *testing.T, db database) {
		s := db.store(storage.Options{})
		d := create(t, s, titled("Gull", "bird", "bird"))
		if got := ids(all(t, s, storage.Query{Tags: []string{"bird"}})); !slices.Equal(got, []string{d.ID}) {
			t.Errorf("listed %v", got)
		}
	}},

	{"tag, search and deleted together", func(t *testing.T, db database) {
		s := db.store(storage.Options{Now: ticking()})
		a := create(t, s, titled("Old quay", "harbour"))
		create(t, s, titled("Old quay", "inland"))
		create(t, s, titled("Old mill", "harbour"))
		b := create(t, s, titled("New quay", "harbour"))
		gone := create(t, s, titled("Lost quay", "harbour"))
		if err := s.Delete(t.Context(), gone.ID, 0); err != nil {
			t.Fatal(err)
		}
		q := storage.Query{Search: "QUAY", Tags: []string{"harbour"}, Limit: 1}
		if got, want := ids(all(t, s, q)), []string{b.ID, a.ID}; !slices.Equal(got, want) {
			t.Errorf("listed %v, want %v", got, want)
		}
		q.Deleted = true
		if got, want := ids(all(t, s, q)), []string{gone.ID}; !slices.Equal(got, want) {
			t.Errorf("listed %v, want %v", got, want)
		}
	}},

	{"a page that fits exactly has no next", func(t *testing.T, db database) {
		s := db.store(storage.Options{})
		create(t, s, titled("Quay"))
		create(t, s, titled("Gull"))
		page, err := s.List(t.Context(), storage.Query{Limit: 2})
		if err != nil || len(page.Designs) != 2 || page.Next != "" {
			t.Errorf("%+v, %v", page, err)
		}
	}},

	{"every order, either way round, page by page", func(t *testing.T, db database) {
		s := db.store(storage.Options{Now: ticking()})
		made := map[string]storage.Design{}
		for _, title := range []string{"pier", "Quay", "île", "quay", "QUAY", "", strings.Repeat("b", storage.TitleKey) + "a", strings.Repeat("b", storage.TitleKey) + "B"} {
			d := create(t, s, titled(title, "sea"))
			made[d.ID] = d
		}
		elsewhere := create(t, s.In("mill"), titled("Mill", "sea"))
		for _, d := range made { // in any order
			if d.Title != "pier" {
				d, _, _, err := s.AddVersion(t.Context(), d.ID, 1, titled(d.Title+" ", "sea", "stone"), noKey)
				if err != nil {
					t.Fatal(err)
				}
				made[d.ID] = d
			}
		}
		titleKey := func(d storage.Design) string {
			folded := []rune(storage.Fold(d.Title))
			return string(folded[:min(len(folded), storage.TitleKey)])
		}
		// As the contract has it, worked out apart from any database.
		compare := map[storage.Sort]func(a, b storage.Design) int{
			storage.OldestFirst: func(a, b storage.Design) int { return a.CreatedAt.Compare(b.CreatedAt) },
			storage.UpdatedLong: func(a, b storage.Design) int { return a.UpdatedAt.Compare(b.UpdatedAt) },
			storage.TitleUp:     func(a, b storage.Design) int { return strings.Compare(titleKey(a), titleKey(b)) },
		}
		for up, by := range compare {
			want := slices.SortedFunc(maps.Values(made), func(a, b storage.Design) int { return cmp.Or(by(a, b), strings.Compare(a.ID, b.ID)) })
			for _, sort := range []storage.Sort{up, "-" + up} {
				for _, q := range []storage.Query{{}, {Limit: 1}, {Limit: 3}, {Limit: 2, Tags: []string{"sea"}}, {Limit: 2, Since: want[0].CreatedAt.Add(-time.Hour)}} {
					q.Sort = sort
					if got := ids(all(t, s, q)); !slices.Equal(got, ids(want)) {
						t.Errorf("%+v: listed %v, want %v", q, got, ids(want))
					}
				}
				slices.Reverse(want)
			}
		}
		if got := ids(all(t, s.In("mill"), storage.Query{Sort: storage.TitleUp})); !slices.Equal(got, []string{elsewhere.ID}) {
			t.Errorf("elsewhere: %v", got)
		}
		for id := range made {
			remove(t, s, id)
		}
		if got := all(t, s, storage.Query{Sort: storage.TitleDown, Deleted: true, Limit: 3}); len(got) != len(made) {
			t.Errorf("deleted: %v", ids(got))
		}
		if _, err := s.List(t.Context(), storage.Query{Sort: "colour"}); !errors.Is(err, storage.ErrInvalid) {
			t.Errorf("an order there is not: %v", err)
		}
	}},

	{"an empty list", func(t *testing.T, db database) {
		s := db.store(storage.Options{})
		page, err := s.List(t.Context(), storage.Query{})
		if err != nil || page.Designs == nil || len(page.Designs) != 0 || page.Next != "" {
			t.Errorf("%+v, %v", page, err)
		}
	}},

	{"limits", func(t *testing.T, db database) {
		s := db.store(storage.Options{})
		for range storage.DefaultLimit + 1 {
			create(t, s, titled("Gull"))
		}
		for limit, want := range map[int]int{
			-1: storage.DefaultLimit, 0: storage.DefaultLimit, 1: 1, storage.MaxLimit + 1: storage.DefaultLimit + 1,
		} {
			page, err := s.List(t.Context(), storage.Query{Limit: limit})
			if err != nil || len(page.Designs) != want {
				t.Errorf("limit %d: %d designs, %v", limit, len(page.Designs), err)
			}
		}
	}},

	{"pages under concurrent writes", func(t *testing.T, db database) {
		const present = 60
		reading, writing := db.store(storage.Options{}), db.store(storage.Options{})
		want := map[string]bool{}
		var doomed []storage.Design
		for i := range present {
			d := create(t, reading, titled("Gull"))
			want[d.ID] = true
			if i%10 == 0 {
				doomed = append(doomed, create(t, reading, titled("Crab")))
			}
		}
		stop, halfway := make(chan struct{}), make(chan struct{})
		var writer sync.WaitGroup
		writer.Go(func() {
			for n := 1; ; n++ {
				select {
				case <-stop:
					return
				default:
				}
				d := create(t, writing, titled("Newcomer"))
				add(t, writing, d.ID, 1, titled("Newcomer, again"))
				for id := range want { // a new version does not move a design
					if _, _, _, err := writing.AddVersion(t.Context(), id, 0, lighthouse(n), noKey); err != nil {
						t.Errorf("add: %v", err)
					}
					break
				}
				if len(doomed) > 0 {
					if err := writing.Delete(t.Context(), doomed[0].ID, 0); err != nil {
						t.Errorf("delete: %v", err)
					}
					doomed = doomed[1:]
				}
				if n == 3 {
					close(halfway)
				}
			}
		})
		<-halfway
		seen := map[string]bool{}
		var last storage.Design
		for i, d := range all(t, reading, storage.Query{Limit: 7}) {
			if seen[d.ID] {
				t.Errorf("%s was listed twice", d.ID)
			}
			seen[d.ID] = true
			if i > 0 && d.CreatedAt.After(last.CreatedAt) {
				t.Errorf("%s of %v was listed after one of %v", d.ID, d.CreatedAt, last.CreatedAt)
			}
			last = d
		}
		close(stop)
		writer.Wait()
		for id := range want {
			if !seen[id] {
				t.Errorf("%s was there from the start and never listed", id)
			}
		}
	}},

	{"a bad cursor is refused", func(t *testing.T, db database) {
		s := db.store(storage.Options{})
		create(t, s, titled("Gull"))
		create(t, s, titled("Quay"))
		page, err := s.List(t.Context(), storage.Query{Limit: 1})
		if err != nil || page.Next == "" {
			t.Fatalf("%+v, %v", page, err)
		}
		for why, q := range map[string]storage.Query{
			"nonsense":           {Cursor: "gull"},
			"not base64":         {Cursor: "!"},
			"cut short":          {Cursor: page.Next[:8]},
			"another search":     {Cursor: page.Next, Search: "quay"},
			"another tag":        {Cursor: page.Next, Tags: []string{"quay"}},
			"another order":      {Cursor: page.Next, Sort: storage.TitleUp},
			"the other state":    {Cursor: page.Next, Deleted: true},
			"something appended": {Cursor: page.Next + "\n"},
		} {
			if _, err := s.List(t.Context(), q); !errors.Is(err, storage.ErrBadCursor) {
				t.Errorf("%s: %v", why, err)
			}
		}
		if _, err := s.List(t.Context(), storage.Query{Cursor: page.Next, Limit: 9}); err != nil {
			t.Errorf("another limit: %v", err)
		}
	}},
}

// all lists every page of a query.
func all(t *testing.T, s storage.Store, q storage.Query) []storage.Design {
	t.Helper()
	var designs []storage.Design
	for {
		page, err := s.List(t.Context(), q)
		if err != nil {
			t.Fatalf("list %+v: %v", q, err)
		}
		designs = append(designs, page.Designs...)
		if page.Next == "" {
			return designs
		}
		if len(page.Designs) == 0 {
			t.Fatalf("list %+v: an empty page has a next", q)
		}
		q.Cursor = page.Next
	}
}

func ids(designs []storage.Design) []string {
	var ids []string
	for _, d := range designs {
		ids = append(ids, d.ID)
	}
	return ids
}
