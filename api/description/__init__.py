"""The API told in a document (OpenAPI 3.1), and the page that shows it without the internet."""
