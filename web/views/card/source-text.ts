/** The file and row that a record came from. */
export const sourceText = ({
  sourceFile,
  sourceRow,
}: {
  sourceFile?: string | null;
  sourceRow?: number | null;
}): string => (sourceFile ? `${sourceFile}${sourceRow ? `, row ${sourceRow}` : ''}` : 'typed in');
