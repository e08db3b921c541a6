import { useQueryClient } from '@tanstack/react-query';
import type { ComparisonRow } from '../../../server/schemas/models.ts';
import type { Settings } from '../../../server/schemas/settings.ts';
import { startForecast } from '../../api/model.ts';
import { describeError } from '../../api/request.ts';
import { saveSettings } from '../../api/settings.ts';
import { settingChanges } from '../../state/comparison.ts';
import { useStartJob } from '../data/use-jobs.ts';
import { Dialog } from '../shared/dialog.tsx';
import { settingsQuery } from '../shared/queries.ts';
import { Banner } from '../shared/states.tsx';

/** Asks before the settings are changed and all forecasts are made anew. Closed while `row` is null. */
export function AdoptDialog({
  row,
  settings,
  next,
  onClose,
}: {
  row: ComparisonRow | null;
  settings: Settings;
  /** The settings with the chosen model. */ next: Settings | null;
  onClose: () => void;
}) {
  const client = useQueryClient();
  const adopt = useStartJob(async (wanted: Settings) => {
    client.setQueryData(settingsQuery.queryKey, await saveSettings(wanted));
    return startForecast();
  });
  const close = () => {
    adopt.reset();
    onClose();
  };
  return (
    <Dialog
      title="Adopt this model?"
      open={row !== null && next !== null}
      onClose={close}
      foot={
        <>
          <button type="button" className="button" onClick={close}>
            Keep the present model
          </button>
          <button
            type="button"
            className="button primary"
            disabled={adopt.isPending}
            onClick={() => next && adopt.mutate(next, { onSuccess: close })}
          >
            Adopt and forecast again
          </button>
        </>
      }
    >
      {row && next && (
        <div className="stack">
          <p>
            <strong>{row.label}</strong>
          </p>
          <dl className="facts">
            {settingChanges(settings, next).map(({ name, from, to }) => (
              <div key={name} className="fact">
                <dt>{name}</dt>
                <dd>
                  {from} → {to}
                </dd>
              </div>
            ))}
          </dl>
          <p>
            These settings are saved, the model is fitted again as a new version, and every forecast, the map and the
            budget follow from it. The present version stays in the list of versions and can be used again.
          </p>
          {adopt.isError && <Banner kind="fault">{describeError(adopt.error)}</Banner>}
        </div>
      )}
    </Dialog>
  );
}
