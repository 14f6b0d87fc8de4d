package client

import (
	"bufio"
	"context"
	"encoding/json"
	"fmt"
	"io"
	"iter"
	"strings"
)

// longestEvent is far more than one tells.
const longestEvent = 1 << 20

// Follow tells of a job whenever something about it changes, until it ends. Its
// events end early where the service stops; ask again then.
func (c *ClientWithResponses) Follow(ctx context.Context, job JobId) iter.Seq2[JobRecord, error] {
	return func(yield func(JobRecord, error) bool) {
		answer, err := c.StreamJob(ctx, job)
		if err != nil {
			yield(JobRecord{}, err)
			return
		}
		defer answer.Body.Close()
		readEvents(answer.Body, yield)
	}
}

// readEvents reads a stream of server-sent events (HTML standard, 9.2), each of
// which has one line of data.
func readEvents(from io.Reader, yield func(JobRecord, error) bool) {
	lines := bufio.NewScanner(from)
	lines.Buffer(nil, longestEvent)
	for lines.Scan() {
		data, ok := strings.CutPrefix(lines.Text(), "data:")
		if !ok {
			continue
		}
		var record JobRecord
		if err := json.Unmarshal([]byte(data), &record); err != nil {
			yield(JobRecord{}, fmt.Errorf("an event of the job cannot be read: %w", err))
			return
		}
		if !yield(record, nil) {
			return
		}
	}
	if err := lines.Err(); err != nil {
		yield(JobRecord{}, err)
	}
}
