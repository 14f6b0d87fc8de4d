package api

// ReadDocument reads a design for an archive: what the store is to know of a
// version, as if it were stored now.
func ReadDocument(raw []byte) (title string, tags []string, hash string, err error) {
	doc, err := readDocument(raw, "")
	if err != nil {
		return "", nil, "", err
	}
	return doc.Design.Title, doc.Design.Tags, doc.Hash, checkStorable(doc.Design)
}
