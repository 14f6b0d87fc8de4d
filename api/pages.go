package api

import (
	"net/http"
	"net/url"
	"strconv"

	"foldwright/storage"
)

// defaultPage is the length of a page nobody chose.
const defaultPage = 20

func pageSize(limit *Limit) int {
	if limit == nil {
		return defaultPage
	}
	return int(*limit)
}

func versionQuery(limit int, cursor *Cursor) storage.VersionQuery {
	q := storage.VersionQuery{Limit: limit}
	if cursor != nil {
		q.Cursor = *cursor
	}
	return q
}

// following is the page after a page; without a cursor there is none.
type following struct {
	path  string
	query url.Values
}

func nextPage(path string, limit int, cursor string) following {
	q := url.Values{}
	if cursor != "" {
		q.Set("limit", strconv.Itoa(limit))
		q.Set("cursor", cursor)
	}
	return following{path, q}
}

func (f following) cursor() *string {
	if c := f.query.Get("cursor"); c != "" {
		return &c
	}
	return nil
}

// answer is a page with a link to the next (RFC 8288).
func (f following) answer(page any) (*answer, error) {
	body, err := encode(page)
	if err != nil {
		return nil, err
	}
	a := newAnswer(http.StatusOK, MediaJSON, body).with("Cache-Control", cacheAskEach)
	if f.cursor() != nil {
		a.with("Link", "<"+f.path+"?"+f.query.Encode()+`>; rel="next"`)
	}
	return a, nil
}
