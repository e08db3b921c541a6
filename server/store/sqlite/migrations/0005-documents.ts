/** What is worked out about a model version besides its report, one document of each kind. */
export const documents = `
CREATE TABLE document (
  kind TEXT NOT NULL,
  modelVersion INTEGER NOT NULL,
  json TEXT NOT NULL,
  PRIMARY KEY (kind, modelVersion)
) STRICT, WITHOUT ROWID;
`;
