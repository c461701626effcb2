"use strict";
SwaggerUIBundle({
  url: "/schema/openapi.json",
  dom_id: "#description",
  deepLinking: true,
  docExpansion: "list",
  defaultModelsExpandDepth: 0,
  displayRequestDuration: true,
  validatorUrl: null,
});
