import { useQuery } from '@tanstack/react-query';
import { versionQuery } from './queries.ts';
import { Link } from './url.tsx';

/** Which version of the model the forecasts on this screen come from; nothing before the first. */
export function ModelVersionNote() {
  const { data } = useQuery(versionQuery);
  if (!data || data.modelVersion === null) return null;
  return (
    <p className="small soft">
      Forecasts of <Link href="/service-life?part=versions">model version {data.modelVersion}</Link>
    </p>
  );
}
