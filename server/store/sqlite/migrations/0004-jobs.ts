/** Long work and loads, newest by `row`. */
export const jobs = `
CREATE TABLE job (
  row INTEGER PRIMARY KEY,
  id TEXT NOT NULL UNIQUE,
  state TEXT NOT NULL,
  json TEXT NOT NULL
) STRICT;

CREATE TABLE load (
  row INTEGER PRIMARY KEY,
  id TEXT NOT NULL UNIQUE,
  state TEXT NOT NULL,
  json TEXT NOT NULL
) STRICT;
`;
