package design

import "testing"

func TestWord(t *testing.T) {
	d, err := Decode([]byte(`{"spread":{"page_width":130,"page_height":180},"mechanisms":[
		{"id":"quay","kind":"parallel_fold","on":{"fold":"gutter"},"from":20,"to":60,"left":{"base_offset":20,"panel_width":30}},
		{"id":"lamp","kind":"figure","on":{"panel":"quay.left"},"outline":"M0 0 H9 V9 Z"}]}`))
	if err != nil {
		t.Fatal(err)
	}
	for pointer, to := range map[string]string{
		"/paper/grain": "across_gutter", "/mechanisms/0/joint/fix": "slot", "/mechanisms/0/joint/tab_side": "outer",
	} {
		copied := d.Clone()
		c, ok := copied.Word(pointer)
		if !ok || len(c.Options) != 2 || c.Set("glue it") || !c.Set(to) || c.Get() != to {
			t.Errorf("%s: %+v", pointer, c)
		}
		if own, _ := d.Word(pointer); own.Get() == to {
			t.Errorf("%s: a change of the copy reached the design", pointer)
		}
	}
	for _, pointer := range []string{"/mechanisms/1/joint/fix", "/mechanisms/7/joint/fix", "/mechanisms/0/from", "/units"} {
		if _, ok := d.Word(pointer); ok {
			t.Errorf("%s is no field of one word", pointer)
		}
	}
	if n, ok := d.Number("/mechanisms/0/joint/tab_depth"); !ok || n.Get() != 10 {
		t.Errorf("tab depth %+v", n)
	} else if lo, hi := n.Range(d); lo != 2 || hi != 100 {
		t.Errorf("tab depth from %g to %g", lo, hi)
	}
}
