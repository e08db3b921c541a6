/** The parts of the service-life screen, in the order of its tabs. */
export const MODEL_PARTS = [
  { value: 'model', label: 'This model' },
  { value: 'priors', label: 'Before the data' },
  { value: 'compare', label: 'Compare models' },
  { value: 'versions', label: 'Versions' },
] as const;

export type ModelPart = (typeof MODEL_PARTS)[number]['value'];

/** Which part the address asks for; the model itself unless it says otherwise. */
export const readModelPart = (params: URLSearchParams): ModelPart =>
  MODEL_PARTS.find(({ value }) => value === params.get('part'))?.value ?? 'model';
