FROM golang:1.26 AS build
WORKDIR /src
COPY go.mod go.sum ./
RUN go mod download
COPY api api
COPY cmd cmd
COPY internal internal
RUN CGO_ENABLED=0 go build -trimpath -ldflags="-s -w" -o /saltwright ./cmd/saltwright

FROM scratch
COPY --from=build /saltwright /saltwright
USER 65532:65532
EXPOSE 8080
ENTRYPOINT ["/saltwright", "--addr", ":8080"]
