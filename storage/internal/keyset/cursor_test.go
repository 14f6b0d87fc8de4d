package keyset_test

import (
	"errors"
	"net/url"
	"strings"
	"testing"
	"time"

	"foldwright/storage"
	"foldwright/storage/internal/keyset"

	"pgregory.net/rapid"
)

var sorts = []storage.Sort{
	"", storage.NewestFirst, storage.OldestFirst, storage.UpdatedLately, storage.UpdatedLong, storage.TitleUp, storage.TitleDown,
}

func TestDesignCursorReturnsWhereThePageEnded(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		q := storage.Query{
			Search:  rapid.String().Draw(t, "search"),
			Tags:    []string{rapid.String().Draw(t, "tag")},
			Deleted: rapid.Bool().Draw(t, "deleted"),
			Sort:    rapid.SampledFrom(sorts).Draw(t, "sort"),
		}
		d := storage.Design{
			ID:        rapid.StringMatching(`[a-z0-9-]{1,64}`).Draw(t, "id"),
			Title:     strings.ReplaceAll(rapid.StringN(0, 200, -1).Draw(t, "title"), "\x00", ""),
			CreatedAt: time.UnixMicro(rapid.Int64Range(0, 1<<60).Draw(t, "created")).UTC(),
			UpdatedAt: time.UnixMicro(rapid.Int64Range(0, 1<<60).Draw(t, "updated")).UTC(),
		}
		q.Cursor = keyset.AfterDesign(q, d)
		if url.QueryEscape(q.Cursor) != q.Cursor {
			t.Fatalf("%q is not safe in a URL", q.Cursor)
		}
		const longest = 512 // in the contract
		if len(q.Cursor) > longest {
			t.Fatalf("%q is too long", q.Cursor)
		}
		place, err := keyset.Designs(q)
		if err != nil || place.ID != d.ID {
			t.Fatalf("read back %v, %v", place, err)
		}
		folded := []rune(storage.Fold(d.Title))
		switch key, _ := q.Sort.By(); {
		case key == "created" && !place.At.Equal(d.CreatedAt), key == "updated" && !place.At.Equal(d.UpdatedAt),
			key == "title" && place.Title != string(folded[:min(len(folded), storage.TitleKey)]):
			t.Fatalf("by %s read back %v", key, place)
		}
	})
}

func TestCursorIsRefusedUnderAnotherQuery(t *testing.T) {
	q := storage.Query{Search: "quay", Tags: []string{"harbour"}}
	cursor := keyset.AfterDesign(q, storage.Design{ID: "lighthouse", CreatedAt: time.Unix(1, 0)})
	for why, other := range map[string]storage.Query{
		"another search":             {Search: "pier", Tags: []string{"harbour"}},
		"another tag":                {Search: "quay", Tags: []string{"gulls"}},
		"the deleted ones":           {Search: "quay", Tags: []string{"harbour"}, Deleted: true},
		"the same text, shifted":     {Search: "quayh", Tags: []string{"arbour"}},
		"the same text, in the tag":  {Tags: []string{"quayharbour"}},
		"the other way round":        {Search: "quay", Tags: []string{"harbour"}, Sort: storage.OldestFirst},
		"another order":              {Search: "quay", Tags: []string{"harbour"}, Sort: storage.UpdatedLately},
		"by title":                   {Search: "quay", Tags: []string{"harbour"}, Sort: storage.TitleDown},
		"search and tag interchaged": {Search: "harbour", Tags: []string{"quay"}},
	} {
		other.Cursor = cursor
		if _, err := keyset.Designs(other); !errors.Is(err, storage.ErrBadCursor) {
			t.Errorf("%s: %v", why, err)
		}
	}
	if _, err := keyset.Versions("lighthouse", cursor); !errors.Is(err, storage.ErrBadCursor) {
		t.Errorf("a cursor of designs was taken for one of versions: %v", err)
	}
	if _, err := keyset.Versions("quay", keyset.AfterVersion("lighthouse", 3)); !errors.Is(err, storage.ErrBadCursor) {
		t.Errorf("the cursor of another design was taken: %v", err)
	}
}

func TestVersionCursorReturnsTheNumber(t *testing.T) {
	for _, n := range []int{1, 2, 1 << 40} {
		below, err := keyset.Versions("gull", keyset.AfterVersion("gull", n))
		if err != nil || below != n {
			t.Errorf("%d read back as %d, %v", n, below, err)
		}
	}
}

// Cursors come from the network: whatever they hold, they are read to a usable
// end or refused.
func FuzzCursor(f *testing.F) {
	f.Add("")
	f.Add("!")
	f.Add("AQ")
	f.Add(keyset.AfterVersion("", 3))
	f.Add(keyset.AfterJob("quay", storage.Job{ID: "gull", CreatedAt: time.Unix(1, 0)}))
	f.Add(keyset.AfterDesign(storage.Query{}, storage.Design{ID: "gull", CreatedAt: time.Unix(1, 0)}))
	f.Add(keyset.AfterDesign(storage.Query{Sort: storage.TitleUp}, storage.Design{ID: "gull", Title: "Quay"}))
	f.Add(keyset.AfterDesign(storage.Query{}, storage.Design{ID: "gull", CreatedAt: time.Unix(-1, 0)}))
	f.Fuzz(func(t *testing.T, cursor string) {
		for _, sort := range sorts {
			place, err := keyset.Designs(storage.Query{Cursor: cursor, Sort: sort})
			switch {
			case err != nil && !errors.Is(err, storage.ErrBadCursor):
				t.Errorf("unexpected error %v", err)
			case err == nil && cursor != "" && (!storage.ValidText(place.ID+place.Title) || !place.At.IsZero() && place.At.UnixMicro() < 0):
				t.Errorf("read an unusable place %v", place)
			}
		}
		end, err := keyset.Jobs("quay", cursor)
		switch {
		case err != nil && !errors.Is(err, storage.ErrBadCursor):
			t.Errorf("unexpected error %v", err)
		case err == nil && (!storage.ValidText(end.ID) || end.CreatedAt.UnixMicro() < 0):
			t.Errorf("read an unusable end %v", end)
		}
		below, err := keyset.Versions("", cursor)
		switch {
		case err != nil && !errors.Is(err, storage.ErrBadCursor):
			t.Errorf("unexpected error %v", err)
		case err == nil && below < 0:
			t.Errorf("read an unusable number %d", below)
		}
	})
}

func TestLimit(t *testing.T) {
	for given, want := range map[int]int{
		-1: storage.DefaultLimit, 0: storage.DefaultLimit, 1: 1,
		storage.MaxLimit: storage.MaxLimit, storage.MaxLimit + 1: storage.MaxLimit,
	} {
		if got := keyset.Limit(given); got != want {
			t.Errorf("Limit(%d) = %d, want %d", given, got, want)
		}
	}
}

// Clients still hold cursors that were made before lists had other orders.
func TestOldCursorsAreGood(t *testing.T) {
	for _, sort := range []storage.Sort{"", storage.NewestFirst} {
		place, err := keyset.Designs(storage.Query{Search: "quay", Tags: []string{"sea"}, Sort: sort, Cursor: "AZS8RjEfHFXzAAZL8JmE7EBndWxs"})
		if want := (keyset.Place{At: time.UnixMicro(1772346600123456).UTC(), ID: "gull"}); err != nil || place != want {
			t.Errorf("%q: read %v, %v", sort, place, err)
		}
	}
}
