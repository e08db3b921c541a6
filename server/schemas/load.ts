import { type Static, Type } from 'typebox';
import { Nullable } from './common.ts';
import { oneOf, RecordKindSchema } from './words.ts';

export const UNITS = [
  'mm',
  'cm',
  'm',
  'km',
  'in',
  'ft',
  'mi',
  'C',
  'F',
  'share',
  'percent',
  'tenths-C',
  'tenths-mm',
] as const;
export const UnitSchema = oneOf(UNITS, 'Unit of a column');
export type Unit = Static<typeof UnitSchema>;

/** A refused row: where it is, what was found, what is allowed, and the next step. */
export const RowProblemSchema = Type.Object({
  file: Type.String(),
  row: Type.Integer({
    description: 'As a spreadsheet shows it (header is row 1); for GeoJSON, the feature counted from 1',
  }),
  field: Type.String(),
  found: Type.String(),
  expected: Type.String(),
  hint: Type.Optional(Type.String()),
});
export type RowProblem = Static<typeof RowProblemSchema>;

/** What the user says about one file; absent parts are guessed from the file and shown. */
export const FileChoiceSchema = Type.Object(
  {
    uploadId: Type.String(),
    kind: Type.Optional(RecordKindSchema),
    columns: Type.Optional(
      Type.Record(Type.String(), Type.String(), {
        description: 'Column of the file -> our field, or "" to leave it out',
      }),
    ),
    units: Type.Optional(
      Type.Record(Type.String(), UnitSchema, {
        description: 'Our field -> unit of the file',
      }),
    ),
    swapLonLat: Type.Optional(
      Type.Boolean({
        description: 'The whole file has latitude before longitude',
      }),
    ),
  },
  { additionalProperties: false },
);
export type FileChoice = Static<typeof FileChoiceSchema>;

export const FilePreviewSchema = Type.Object({
  uploadId: Type.String(),
  file: Type.String(),
  kind: Nullable(RecordKindSchema),
  kindGuessed: Type.Boolean(),
  columns: Type.Array(
    Type.Object({
      column: Type.String(),
      field: Nullable(Type.String({ description: 'Our field; null: not used' })),
      unit: Nullable(UnitSchema),
      unitChoices: Type.Array(UnitSchema),
      unitGuessed: Type.Boolean({
        description: 'True when neither the column name nor the user said it',
      }),
      example: Nullable(Type.String()),
    }),
  ),
  missingColumns: Type.Array(Type.String(), {
    description: 'Required fields for which no column was found',
  }),
  rowsRead: Type.Integer(),
  rowsAccepted: Type.Integer(),
  rowsRefused: Type.Integer(),
  problems: Type.Array(RowProblemSchema, { description: 'The first 200' }),
  problemCounts: Type.Array(
    Type.Object({
      field: Type.String(),
      expected: Type.String(),
      count: Type.Integer(),
    }),
  ),
  notes: Type.Array(Type.String(), {
    description: 'Repairs and guesses worth a look (BOM, delimiter, decimal comma ...)',
  }),
});
export type FilePreview = Static<typeof FilePreviewSchema>;

export const LoadSchema = Type.Object({
  id: Type.String(),
  state: oneOf(['previewing', 'ready', 'loading', 'done', 'failed', 'cancelled'], 'How far the load is'),
  jobId: Nullable(Type.String()),
  choices: Type.Array(FileChoiceSchema),
  files: Type.Array(FilePreviewSchema),
  result: Nullable(
    Type.Array(
      Type.Object({
        file: Type.String(),
        kind: RecordKindSchema,
        inserted: Type.Integer(),
        updated: Type.Integer(),
        unchanged: Type.Integer(),
        refused: Type.Integer(),
      }),
    ),
  ),
  createdAt: Type.String(),
  error: Nullable(Type.String()),
});
export type Load = Static<typeof LoadSchema>;

export const UploadSchema = Type.Object({
  id: Type.String(),
  name: Type.String(),
  bytes: Type.Integer(),
});
export type Upload = Static<typeof UploadSchema>;
