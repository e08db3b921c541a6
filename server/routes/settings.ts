import type { FastifyPluginAsyncTypebox } from '@fastify/type-provider-typebox';
import { Type } from 'typebox';
import { BASE_MAP_EXPECTED, isBaseMapAddress } from '../base-map.ts';
import { ProblemError } from '../problems.ts';
import { ProblemSchema } from '../schemas/common.ts';
import { type Settings, SettingsSchema } from '../schemas/settings.ts';
import { type UnitCost, UnitCostSchema } from '../schemas/unit-cost.ts';
import type { Store } from '../store/store.ts';

const UnitCostsSchema = Type.Array(UnitCostSchema, { maxItems: 500 });

/** Settings of the network and unit costs: small lists, replaced whole. */
export const settingsRoutes =
  (store: Store, onChange: (settings: Settings) => void): FastifyPluginAsyncTypebox =>
  async (app) => {
    app.get('/settings', { schema: { response: { 200: SettingsSchema } } }, async () => store.readSettings());
    app.put(
      '/settings',
      { schema: { body: SettingsSchema, response: { 200: SettingsSchema, 400: ProblemSchema } } },
      async ({ body }) => {
        refuseBadBaseMap(body.baseMapUrl);
        await store.writeSettings(body);
        onChange(body);
        return body;
      },
    );
    app.get('/unit-costs', { schema: { response: { 200: UnitCostsSchema } } }, async () => store.readUnitCosts());
    app.put(
      '/unit-costs',
      { schema: { body: UnitCostsSchema, response: { 200: UnitCostsSchema, 400: ProblemSchema } } },
      async ({ body }) => {
        refuseDoubles(body);
        await store.replaceUnitCosts(body);
        return store.readUnitCosts();
      },
    );
  };

function refuseBadBaseMap(url: string | null): void {
  if (url === null || isBaseMapAddress(url)) return;
  const expected = `${BASE_MAP_EXPECTED}, or null`;
  throw new ProblemError('invalid-request', `baseMapUrl is ${url}; expected ${expected}.`, [
    { field: 'body.baseMapUrl', found: url, expected },
  ]);
}

function refuseDoubles(costs: readonly UnitCost[]): void {
  const seen = new Set<string>();
  for (const [index, { sealantClass, jointType }] of costs.entries()) {
    const key = `${sealantClass} / ${jointType}`;
    if (seen.has(key)) {
      throw new ProblemError('invalid-request', `Unit cost ${index + 1} repeats ${key}; expected one price for each.`);
    }
    seen.add(key);
  }
}
