package hooks

import (
	"net/http"
	"strconv"
	"strings"
	"testing"
	"time"

	webhook "github.com/standard-webhooks/standard-webhooks/libraries/go"
)

// The specification's own example (standard-webhooks, spec/standard-webhooks.md,
// from memory), which the libraries hold themselves against too.
func TestSignatureOfTheSpecification(t *testing.T) {
	got, err := sign("whsec_MfKQ9r8GKYqrTwjUPD8ILPZIo2LaLaSw", "msg_p5jXN8AQM9LWM0D4loKWxJek",
		time.Unix(1614265330, 0), []byte(`{"test": 2432232314}`))
	if want := "v1,g0hM9SsE+OTPJTGt/tmIKtSyZlE3uFJELVlNIOLJ1OE="; err != nil || got != want {
		t.Errorf("%s, %v, want %s", got, err, want)
	}
}

func TestTheLibraryOfTheSpecificationAgrees(t *testing.T) {
	secret := NewSecret()
	if secret == NewSecret() || len(strings.TrimPrefix(secret, SecretPrefix)) != 44 {
		t.Errorf("secret %s", secret)
	}
	now, body := time.Now(), []byte(`{"type":"design.created"}`)
	signature, err := sign(secret, "tide-1", now, body)
	if err != nil {
		t.Fatal(err)
	}
	receiver, err := webhook.NewWebhook(secret)
	if err != nil {
		t.Fatal(err)
	}
	headers := func(id string, at time.Time) http.Header {
		return http.Header{"Webhook-Id": {id}, "Webhook-Timestamp": {strconv.FormatInt(at.Unix(), 10)}, "Webhook-Signature": {signature}}
	}
	if err := receiver.Verify(body, headers("tide-1", now)); err != nil {
		t.Error(err)
	}
	for why, err := range map[string]error{
		"another body":   receiver.Verify([]byte(`{"type":"design.deleted"}`), headers("tide-1", now)),
		"another id":     receiver.Verify(body, headers("tide-2", now)),
		"another moment": receiver.Verify(body, headers("tide-1", now.Add(time.Second))),
	} {
		if err == nil {
			t.Errorf("%s passes", why)
		}
	}
	if _, err := sign("whsec_?", "tide-1", now, body); err == nil {
		t.Error("signed with what is no secret")
	}
}
