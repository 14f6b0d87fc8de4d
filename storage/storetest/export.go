package storetest

import (
	"errors"
	"reflect"
	"strings"
	"sync"
	"testing"
	"time"

	"foldwright/storage"
)

// exported is a design as it was visited.
type exported struct {
	storage.Design
	versions []storage.Version
}

func (e exported) version(n int) (storage.Version, error) { return e.versions[n-1], nil }

func export(t *testing.T, s storage.Store) (all []exported) {
	t.Helper()
	err := s.Export(t.Context(), func(d storage.Design, version storage.VersionOf) error {
		e := exported{Design: d}
		for n := 1; n <= d.Version; n++ {
			v, err := version(n)
			if err != nil {
				return err
			}
			e.versions = append(e.versions, v)
		}
		all = append(all, e)
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
	return all
}

// put imports a design and tells whether it was made.
func put(t *testing.T, s storage.Store, e exported, check bool) bool {
	t.Helper()
	made, err := s.Import(t.Context(), e.Design, e.version, check)
	if err != nil {
		t.Fatalf("import %s: %v", e.ID, err)
	}
	return made
}

var exportTests = []test{
	{"what is exported is imported as it was", func(t *testing.T, db database) {
		s := db.store(storage.Options{Now: ticking()})
		d := create(t, s, lighthouse(1))
		add(t, s, d.ID, 1, titled("Jetée", "sea"))
		setLabel(t, s, d.ID, 2, "proof")
		setLabel(t, s, d.ID, 2, "as printed")
		remove(t, s, create(t, s, lighthouse(3)).ID)
		create(t, s.In("mill"), lighthouse(4)) // which is not ours
		want := export(t, s)
		if len(want) != 2 || want[0].ID >= want[1].ID || want[1].DeletedAt == nil || len(want[0].versions[1].Labels) != 2 {
			t.Fatalf("exported %+v", want)
		}
		// The ids are in use here, so they go where nothing is.
		other := db.elsewhere(storage.Options{})
		for _, e := range want {
			if !put(t, other, e, true) || len(export(t, other)) > 0 && e.ID == want[0].ID {
				t.Error("checked as if it were there, or written")
			}
			if !put(t, other, e, false) || put(t, other, e, false) || put(t, other, e, true) {
				t.Error("not made once")
			}
		}
		if got := export(t, other); !reflect.DeepEqual(got, want) {
			t.Errorf("imported\n%+v, want\n%+v", got, want)
		}
		ours, err := s.Usage(t.Context())
		if err != nil {
			t.Fatal(err)
		}
		if theirs, err := other.Usage(t.Context()); err != nil || theirs != ours {
			t.Errorf("usage %+v, %v, want %+v", theirs, err, ours)
		}
		for _, q := range []storage.Query{{Tags: []string{"sea"}}, {Search: "JETÉE"}, {Label: "proof"}} {
			if got := all(t, other, q); len(got) != 1 {
				t.Errorf("%+v finds %+v", q, got)
			}
		}
		add(t, other, d.ID, 2, lighthouse(5))
		for i := range want {
			if put(t, s, want[i], false) {
				t.Error("made where it came from")
			}
		}
	}},

	{"an id that belongs to another design is told", func(t *testing.T, db database) {
		s := db.store(storage.Options{Now: ticking()})
		d := create(t, s, lighthouse(1))
		setLabel(t, s, d.ID, 1, "proof")
		was := export(t, s)[0]
		for why, change := range map[string]func(*exported){
			"another document": func(e *exported) { e.versions[0].Document = []byte("{}") },
			"another message":  func(e *exported) { e.versions[0].Message = "Later" },
			"another label":    func(e *exported) { e.versions[0].Labels = []string{"as printed"} },
			"another time":     func(e *exported) { e.versions[0].CreatedAt = e.versions[0].CreatedAt.AddDate(0, 0, 1) },
			"deleted":          func(e *exported) { e.DeletedAt = new(e.CreatedAt) },
			"a version more":   func(e *exported) { e.versions, e.Version = append(e.versions, e.versions[0]), 2 },
		} {
			e := exported{was.Design, append([]storage.Version{}, was.versions...)}
			change(&e)
			for _, check := range []bool{true, false} {
				if made, err := s.Import(t.Context(), e.Design, e.version, check); !errors.Is(err, storage.ErrTaken) || made {
					t.Errorf("%s: made %v, %v", why, made, err)
				}
			}
		}
		if made, err := s.In("mill").Import(t.Context(), was.Design, was.version, false); !errors.Is(err, storage.ErrTaken) || made {
			t.Errorf("another workspace: made %v, %v", made, err)
		}
		if got := export(t, s); len(got) != 1 || !reflect.DeepEqual(got[0], was) {
			t.Errorf("changed to %+v", got)
		}
	}},

	{"an import that fails leaves nothing", func(t *testing.T, db database) {
		s := db.store(storage.Options{Now: ticking()})
		create(t, s, lighthouse(1))
		e := export(t, s)[0]
		e.Version = 2
		lost := errors.New("lost")
		full := db.elsewhere(storage.Options{Quota: storage.Quota{Versions: 1}})
		for why, tc := range map[string]struct {
			second func() (storage.Version, error)
			want   error
		}{
			"a version that cannot be read": {func() (storage.Version, error) { return storage.Version{}, lost }, nil},
			"text that cannot be kept":      {func() (storage.Version, error) { return storage.Version{Message: "\x00"}, nil }, storage.ErrInvalid},
			"a label that is none":          {func() (storage.Version, error) { return storage.Version{Labels: []string{""}}, nil }, storage.ErrInvalid},
			"a label that is no name":       {func() (storage.Version, error) { return storage.Version{Labels: []string{".."}}, nil }, storage.ErrInvalid},
			"a message that is too long": {func() (storage.Version, error) {
				return storage.Version{Message: strings.Repeat("a", storage.MaxMessage+1)}, nil
			}, storage.ErrInvalid},
			"a time before all": {func() (storage.Version, error) { return storage.Version{CreatedAt: time.Unix(-1, 0)}, nil }, storage.ErrInvalid},
			"a quota":           {func() (storage.Version, error) { return e.versions[0], nil }, storage.ErrQuota},
		} {
			made, err := full.Import(t.Context(), e.Design, func(n int) (storage.Version, error) {
				if n == 2 {
					return tc.second()
				}
				return e.version(n)
			}, false)
			if err == nil || made || tc.want != nil && !errors.Is(err, tc.want) {
				t.Errorf("%s: made %v, %v", why, made, err)
			}
		}
		if got := export(t, full); len(got) != 0 {
			t.Errorf("left %+v", got)
		}
	}},

	// A design and its versions are of one moment, and so are all designs.
	{"an export is of one moment", func(t *testing.T, db database) {
		s := db.store(storage.Options{})
		first, second := create(t, s, lighthouse(0)), create(t, s, lighthouse(0))
		stop := make(chan struct{})
		var writing sync.WaitGroup
		writing.Go(func() {
			for n := 1; ; n++ { // the first is always as far as the second, or one ahead
				select {
				case <-stop:
					return
				default:
				}
				for _, id := range []string{first.ID, second.ID} {
					if _, _, _, err := s.AddVersion(t.Context(), id, 0, lighthouse(n), noKey); err != nil {
						t.Error(err)
					}
				}
			}
		})
		for range 10 {
			got := map[string]exported{}
			for _, e := range export(t, s) {
				got[e.ID] = e
			}
			ahead := got[first.ID].Version - got[second.ID].Version
			if ahead != 0 && ahead != 1 {
				t.Errorf("one design is %d versions ahead", ahead)
			}
			for _, e := range got {
				if e.versions[len(e.versions)-1].Hash != lighthouse(e.Version-1).Hash {
					t.Errorf("version %d is another's", e.Version)
				}
			}
		}
		close(stop)
		writing.Wait()
	}},
}
