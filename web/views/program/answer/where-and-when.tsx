import type { Program } from '../../../../server/schemas/program.ts';
export const WhereAndWhen = ({ program }: { program: Program }) => <p>{program.scenarioName}</p>;
