package saltwright_test

import (
	"context"
	"errors"
	"fmt"
	"net/http"
	"net/http/httptest"

	saltwright "saltwright/clients/go"
)

// serve answers everything with one body: an example needs no network.
func serve(status int, body string) *httptest.Server {
	return httptest.NewServer(http.HandlerFunc(func(w http.ResponseWriter, _ *http.Request) {
		w.WriteHeader(status)
		fmt.Fprint(w, body)
	}))
}

func Example() {
	server := serve(200, `{"result":{"needed_w":204.3},"summary":"Holding 25.5 °C takes 204 W of heating."}`)
	defer server.Close()

	client, err := saltwright.New(server.URL) // https://saltwright.example
	if err != nil {
		fmt.Println(err)
		return
	}
	answer, _, err := client.PostHeaterSizing(context.Background(), saltwright.HeaterSizingRequest{
		LengthMm: saltwright.FromInches(36), WidthMm: saltwright.FromInches(20),
		WaterDepthMm: saltwright.FromInches(20),
		RoomC:        saltwright.FromFahrenheit(70), ColdestC: saltwright.Of(saltwright.FromFahrenheit(64)),
	}, saltwright.US())
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Println(answer.Summary)
	fmt.Printf("%.0f W\n", answer.Result.NeededW)
	// Output:
	// Holding 25.5 °C takes 204 W of heating.
	// 204 W
}

func ExampleProblemError() {
	server := serve(422, `{"title":"The request has 1 invalid value","status":422,
		"detail":"Correct what errors lists.","code":"invalid_request","errors":[{"code":"out_of_range",
		"in":"body","pointer":"#/room_c","detail":"must be at most 45","unit":"degC"}]}`)
	defer server.Close()

	client, err := saltwright.New(server.URL)
	if err != nil {
		fmt.Println(err)
		return
	}
	_, _, err = client.PostEvaporation(
		context.Background(), saltwright.EvaporationRequest{LengthMm: 900, WidthMm: 500, RoomC: 70},
	)
	var problem *saltwright.ProblemError
	if errors.As(err, &problem) {
		for _, v := range problem.Errors {
			fmt.Println(*v.Pointer, v.Detail, *v.Unit)
		}
	}
	// Output: #/room_c must be at most 45 degC
}
