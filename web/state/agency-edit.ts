import type { Settings } from '../../server/schemas/settings.ts';
import type { FieldProblem } from './budget-edit.ts';

/** Who the agency is, as typed. */
export interface AgencyDraft {
  agencyName: string;
  /** '' means the built-in outline. */ baseMapUrl: string;
  agencyInvented: boolean;
}
export type AgencyFields = Pick<Settings, 'agencyName' | 'baseMapUrl' | 'agencyInvented'>;

const LONGEST_NAME = 200;
const LONGEST_ADDRESS = 500;
const PLACES = ['{z}', '{x}', '{y}'];

export const draftAgency = ({ agencyName, baseMapUrl, agencyInvented }: AgencyFields): AgencyDraft => ({
  agencyName,
  baseMapUrl: baseMapUrl ?? '',
  agencyInvented,
});

/** What to save, or what must be mended first. The server looks again, more closely at the address. */
export function readAgency(draft: AgencyDraft): { fields: AgencyFields; problems: FieldProblem[] } {
  const agencyName = draft.agencyName.trim();
  const address = draft.baseMapUrl.trim();
  const problems: FieldProblem[] = [
    { key: 'name', field: 'agencyName', message: nameProblem(agencyName) },
    { key: 'map', field: 'baseMapUrl', message: addressProblem(address) },
  ].filter(({ message }) => message !== '');
  return { problems, fields: { agencyName, baseMapUrl: address || null, agencyInvented: draft.agencyInvented } };
}

function nameProblem(name: string): string {
  if (name === '') return 'Give a name; it heads every screen.';
  return name.length > LONGEST_NAME ? `Give at most ${LONGEST_NAME} characters; these are ${name.length}.` : '';
}

function addressProblem(address: string): string {
  if (address === '') return '';
  if (address.length > LONGEST_ADDRESS)
    return `Give at most ${LONGEST_ADDRESS} characters; these are ${address.length}.`;
  if (!/^(https?:\/\/|\/)/i.test(address)) return 'Begin with https://, http:// or / (a path of this server).';
  const missing = PLACES.filter((part) => !address.includes(part));
  return missing.length > 0 ? `Put in ${missing.join(', ')}: zoom, column and row of the tile.` : '';
}

/** Refusals of the server, by the field they belong to: `body.baseMapUrl` is baseMapUrl. */
export function problemsByField(
  errors: readonly { readonly field: string; readonly expected: string }[],
): readonly FieldProblem[] {
  return errors.map(({ field, expected }) => {
    const name = field.split(/[./]/).at(-1) ?? field;
    return { key: name, field: name, message: `Expected ${expected}.` };
  });
}
